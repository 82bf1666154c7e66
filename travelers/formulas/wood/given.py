"""What may a formula of wood be asked for?"""

import math


def must_be_above_0(**given: float) -> None:
    """Refuse a number that is not above 0, or not finite, by its name."""
    for name, value in given.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be above 0 and finite, got {value!r}")


def must_lie(name: str, value: float, least: float, most: float) -> None:
    """Refuse a number outside its range; a number that is none lies nowhere."""
    if not least <= value <= most:
        raise ValueError(f"{name} must lie from {least:g} to {most:g}, got {value!r}")
