"""How does a scan become a fact?"""

from travelers.floor.actions.door import record
from travelers.floor.actions.ledger import Verdict

__all__ = ["Verdict", "record"]
