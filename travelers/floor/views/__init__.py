"""Which screens does the floor have?"""

from travelers.floor.views.anew import anew
from travelers.floor.views.answering import answer
from travelers.floor.views.batches import batch
from travelers.floor.views.cards import scan
from travelers.floor.views.correcting import undo
from travelers.floor.views.cutters import cutters
from travelers.floor.views.desk import hold, instrument, lift, tag
from travelers.floor.views.help import help_
from travelers.floor.views.lists import several
from travelers.floor.views.materials import (
    batch_page,
    hold_batch,
    lift_batch,
    materials,
)
from travelers.floor.views.pins import pins, put_first, unpin_
from travelers.floor.views.presses import wish
from travelers.floor.views.readings import reading
from travelers.floor.views.station import station
from travelers.floor.views.swapping import swap

__all__ = [
    "anew",
    "answer",
    "batch",
    "batch_page",
    "cutters",
    "help_",
    "hold",
    "hold_batch",
    "instrument",
    "lift",
    "lift_batch",
    "materials",
    "pins",
    "put_first",
    "reading",
    "scan",
    "several",
    "station",
    "swap",
    "tag",
    "undo",
    "unpin_",
    "wish",
]
