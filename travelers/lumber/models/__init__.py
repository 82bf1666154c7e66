"""Which wood came in, and which pieces were cut from which plank?"""

from travelers.lumber.models.planks import (
    Delivery,
    Piece,
    Plank,
    PlankSet,
    Species,
    Supplier,
)

__all__ = ["Delivery", "Piece", "Plank", "PlankSet", "Species", "Supplier"]
