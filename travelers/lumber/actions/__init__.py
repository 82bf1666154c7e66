"""How does wood come in, and how are sets cut from it?"""

from travelers.lumber.actions.deliveries import (
    accept_delivery,
    add_planks,
    cut_batches,
    cut_set,
    cut_sets,
    weigh_pieces,
)
from travelers.lumber.actions.rooms import note_air, note_airs
from travelers.lumber.rules import Batch, Cut, Sawn

__all__ = [
    "Batch",
    "Cut",
    "Sawn",
    "accept_delivery",
    "add_planks",
    "cut_batches",
    "cut_set",
    "cut_sets",
    "note_air",
    "note_airs",
    "weigh_pieces",
]
