"""How dry can wood become in the air of a room, and what would help?"""

import math
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from travelers.formulas.wood import (
    equilibrium_moisture_pct,
    relative_humidity_pct,
    temperature_c_for,
)
from travelers.kit.refusals import Refusal, gettext_noop, refusal

# What a heated room can have at all; beyond it a number has slipped.
COLDEST_C, HOTTEST_C = -20, 80
# Wood for instruments is wanted between these (common practice, no source).
DRIEST_LIMIT_PCT, WETTEST_LIMIT_PCT = 3, 20
# Nobody is asked to heat a room beyond this, where people have to go in and out
# (common practice, no source).
HOTTEST_ADVICE_C = 60
# The air of a room is what it was over this time: one reading may be an open door.
WINDOW = timedelta(hours=24)


class Told(StrEnum):
    """How a reading of the air came in."""

    BY_HAND = "BY_HAND"
    BY_FILE = "BY_FILE"
    BY_LOGGER = "BY_LOGGER"


HUMIDITY_CANNOT_BE = refusal(
    "lumber.humidity_cannot_be",
    gettext_noop("Relative humidity lies between 0 and 100 %, not at {value}."),
    gettext_noop("Read the hygrometer again; the number may be the temperature's."),
    status=422,
)
TEMPERATURE_CANNOT_BE = refusal(
    "lumber.temperature_cannot_be",
    gettext_noop("No drying room is at {value} °C."),
    gettext_noop("Read the thermometer again; it may show °F."),
    status=422,
)
AIR_KNOWN = refusal(
    "lumber.air_known",
    gettext_noop("There is another reading of this room at {read_at} already."),
    gettext_noop("Look at it; give this one its own time."),
)
IN_THE_FUTURE = refusal(
    "lumber.air_in_the_future",
    gettext_noop("The moment {read_at} has not come yet."),
    gettext_noop("Look at the date and the clock."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Air:
    """Temperature in °C and relative humidity in % of a room."""

    temperature_c: float
    humidity_pct: float

    @property
    def equilibrium_pct(self) -> float:
        """Say below which moisture no wood dries here."""
        return equilibrium_moisture_pct(self.temperature_c, self.humidity_pct)


@dataclass(frozen=True, slots=True)
class Remedy:
    """What would let the wood of a room come below its limit; None if nothing would."""

    humidity_pct: int | None
    temperature_c: int | None


def cannot_be(temperature_c: float, humidity_pct: float) -> Refusal | None:
    """Doubt a reading of the air that no room can have."""
    if not 0 <= humidity_pct <= 100:
        return HUMIDITY_CANNOT_BE.about(value=f"{humidity_pct:g}")
    if not COLDEST_C <= temperature_c <= HOTTEST_C:
        return TEMPERATURE_CANNOT_BE.about(value=f"{temperature_c:g}")
    return None


def remedy(air: Air, limit_pct: float) -> Remedy | None:
    """Say what to change where the air's equilibrium is not below the limit."""
    if air.equilibrium_pct < limit_pct:
        return None
    humidity = math.floor(relative_humidity_pct(limit_pct, air.temperature_c))
    try:
        heat = math.ceil(temperature_c_for(limit_pct, air.humidity_pct))
    except ValueError:
        heat = HOTTEST_ADVICE_C + 1
    return Remedy(
        humidity if humidity > 0 else None,
        heat if air.temperature_c < heat <= HOTTEST_ADVICE_C else None,
    )
