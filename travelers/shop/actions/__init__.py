"""What is given out, who is let in, and by what is somebody known?"""

from travelers.shop.actions.counting import take_codes, take_numbers
from travelers.shop.actions.knowing import known_by, lift_pause

__all__ = ["known_by", "lift_pause", "take_codes", "take_numbers"]
