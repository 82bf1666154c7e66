"""How does wood come in, how are sets cut from it, and how dry is it?"""

from travelers.lumber.actions.deliveries import (
    accept_delivery,
    add_planks,
    cut_batches,
    cut_set,
    cut_sets,
    weigh_pieces,
)
from travelers.lumber.actions.holding import hold_wood, let_wood_go
from travelers.lumber.actions.loggers import (
    LetIn,
    hear_logger,
    let_logger_in,
    put_logger_out,
)
from travelers.lumber.actions.moisture import read_moisture, weigh_sample
from travelers.lumber.actions.papers import add_papers
from travelers.lumber.actions.rooms import note_air, note_airs
from travelers.lumber.rules import Batch, Cut, Sawn

__all__ = [
    "Batch",
    "Cut",
    "LetIn",
    "Sawn",
    "accept_delivery",
    "add_papers",
    "add_planks",
    "cut_batches",
    "cut_set",
    "cut_sets",
    "hear_logger",
    "hold_wood",
    "let_logger_in",
    "let_wood_go",
    "note_air",
    "note_airs",
    "put_logger_out",
    "read_moisture",
    "weigh_pieces",
    "weigh_sample",
]
