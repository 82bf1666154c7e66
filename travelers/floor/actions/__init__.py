"""How does a scan become a fact?"""

from travelers.floor.actions.door import record
from travelers.floor.actions.ledger import Verdict
from travelers.floor.actions.lists import Going, Gone, record_several
from travelers.floor.actions.undoing import take_back

__all__ = ["Going", "Gone", "Verdict", "record", "record_several", "take_back"]
