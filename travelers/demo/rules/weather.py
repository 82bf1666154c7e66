"""How does the air of a heated room go up and down?"""

import math
from datetime import datetime, timedelta
from decimal import Decimal
from random import Random

EVERY = timedelta(hours=1)
# Heating and drying hold the air back within hours when something pushed it away.
PULLED_BACK = 0.12
# The outside is felt through the walls: warmest in the afternoon, dampest in summer.
DAILY_C, YEARLY_PCT = 0.6, 1.2
# It takes about so long until a room is as damp as its broken dryer leaves it.
SPOILS_IN = timedelta(days=2)


def airs(
    *,
    since: datetime,
    until: datetime,
    temperature_c: float,
    humidity_pct: float,
    damp_since: datetime,
    damper_by_pct: float,
    chance: Random,
) -> list[tuple[datetime, Decimal, Decimal]]:
    """Give a reading for every full hour: the moment, °C and % relative humidity."""
    at = since.replace(minute=0, second=0, microsecond=0) + EVERY
    off_c = off_pct = 0.0
    told = []
    while at <= until:
        off_c += chance.gauss(0, 0.18) - PULLED_BACK * off_c
        off_pct += chance.gauss(0, 0.35) - PULLED_BACK * off_pct
        day, year = at.hour / 24, at.timetuple().tm_yday / 365
        warm = temperature_c + off_c + DAILY_C * math.sin(2 * math.pi * (day - 0.4))
        damp = humidity_pct + off_pct - YEARLY_PCT * math.cos(2 * math.pi * year)
        if at > damp_since:
            damp += damper_by_pct * -math.expm1(-((at - damp_since) / SPOILS_IN))
        told.append((at, _tenth(warm), _tenth(damp)))
        at += EVERY
    return told


def _tenth(value: float) -> Decimal:
    return Decimal(round(value * 10)) / 10
