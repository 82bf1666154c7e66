"""How does wood come in by the screen?"""

from travelers.lumber.views.deliveries import (
    deliveries,
    delivery,
    delivery_new,
)
from travelers.lumber.views.papers import paper, papers

__all__ = [
    "deliveries",
    "delivery",
    "delivery_new",
    "paper",
    "papers",
]
