"""How does the demo's wood really dry?  The shop only sees what a meter shows of it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from random import Random

DAY = timedelta(days=1)
# Planks come air-dried; a yard is never quite even (invented for the demo).
YARD_PCT, YARD_SPREAD, PIECE_SPREAD = 11.2, 0.7, 0.2
# A day's share at 30 mm; thicker wood is slower by a power (as for red oak, Simpson
# and Tschernitz, 1979), species and planks differ (invented).
RATE_AT_30_MM, POWER = 0.14, 1.52
FASTER = {"BASSWOOD": 1.35, "ALDER": 1.15, "WALNUT": 0.95, "ROSEWOOD": 0.7}
PLANK_SPREAD, OWN_SPREAD = 0.15, 0.05
# Glue brings water into the joint; the air of the workshop is damper than a room's.
GLUE_ADDS_PCT = 1.3
WORKSHOP_PCT = 8.6
METER_SPREAD = 0.18


@dataclass(slots=True)
class Timber:
    """A piece as it really is: its moisture at a moment, and how fast that moves."""

    moisture_pct: float
    rate_per_day: float
    at: datetime


def timber(
    *, species: str, thickness_mm: float, pieces: int, at: datetime, chance: Random
) -> list[Timber]:
    """Make the pieces of a set as the yard gives them."""
    start = chance.gauss(YARD_PCT, YARD_SPREAD)
    rate = RATE_AT_30_MM * (30 / thickness_mm) ** POWER * FASTER.get(species, 1.0)
    rate *= math.exp(chance.gauss(0, PLANK_SPREAD))
    return [
        Timber(
            start + chance.gauss(0, PIECE_SPREAD),
            rate * math.exp(chance.gauss(0, OWN_SPREAD)),
            at,
        )
        for _ in range(pieces)
    ]


def dry(
    piece: Timber, until: datetime, equilibriums_pct: Mapping[date, float] | None
) -> None:
    """Let a piece lie until a moment, day by day in a room's air or in the workshop."""
    while piece.at < until:
        then = min(until, piece.at + DAY)
        end = WORKSHOP_PCT
        if equilibriums_pct:
            end = equilibriums_pct.get(piece.at.date(), WORKSHOP_PCT)
        gone = math.exp(-piece.rate_per_day * ((then - piece.at) / DAY))
        piece.moisture_pct = end + (piece.moisture_pct - end) * gone
        piece.at = then


def shown_pct(piece: Timber, chance: Random) -> Decimal:
    """Say what a meter shows of a piece."""
    return Decimal(f"{piece.moisture_pct + chance.gauss(0, METER_SPREAD):.1f}")
