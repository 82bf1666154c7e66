"""How does wood come in by the screen?"""

from travelers.lumber.views.deliveries import (
    deliveries,
    delivery,
    delivery_new,
)

__all__ = [
    "deliveries",
    "delivery",
    "delivery_new",
]
