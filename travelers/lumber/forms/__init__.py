"""What is typed when wood comes in?"""

from travelers.lumber.forms.deliveries import DeliveryForm, number_shape
from travelers.lumber.forms.lists import PlankList, list_of
from travelers.lumber.forms.papers import papers_in
from travelers.lumber.forms.planks import Planks

__all__ = [
    "DeliveryForm",
    "PlankList",
    "Planks",
    "list_of",
    "number_shape",
    "papers_in",
]
