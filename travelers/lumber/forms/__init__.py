"""What is typed when wood comes in?"""

from travelers.lumber.forms.deliveries import (
    DeliveryForm,
    Planks,
    number_shape,
)

__all__ = [
    "DeliveryForm",
    "Planks",
    "number_shape",
]
