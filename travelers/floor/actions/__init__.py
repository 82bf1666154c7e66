"""How does a scan become a fact?"""

from travelers.floor.actions.door import record
from travelers.floor.actions.ledger import Verdict
from travelers.floor.actions.lists import Going, Gone, record_several
from travelers.floor.actions.materials import (
    bring_batch,
    hold_batches,
    lift_batch_hold,
    take_batch_in,
)
from travelers.floor.actions.pinning import Target, pin, unpin
from travelers.floor.actions.undoing import take_back

__all__ = [
    "Going",
    "Gone",
    "Target",
    "Verdict",
    "bring_batch",
    "hold_batches",
    "lift_batch_hold",
    "pin",
    "record",
    "record_several",
    "take_back",
    "take_batch_in",
    "unpin",
]
