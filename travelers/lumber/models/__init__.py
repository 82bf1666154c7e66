"""Which wood came in, what was cut from it, and in what air does it dry?"""

from travelers.lumber.models.loggers import Logger
from travelers.lumber.models.moisture import MoistureReading, SpeciesCorrection
from travelers.lumber.models.papers import DeliveryPaper
from travelers.lumber.models.planks import (
    Delivery,
    Piece,
    Plank,
    PlankSet,
    Species,
    Supplier,
)
from travelers.lumber.models.rooms import Room, RoomReading

__all__ = [
    "Delivery",
    "DeliveryPaper",
    "Logger",
    "MoistureReading",
    "Piece",
    "Plank",
    "PlankSet",
    "Room",
    "RoomReading",
    "Species",
    "SpeciesCorrection",
    "Supplier",
]
