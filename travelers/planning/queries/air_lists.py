"""What would a list of readings add to what is known of a room?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from statistics import fmean

from travelers.lumber import queries as lumber
from travelers.lumber.rules import Air


@dataclass(frozen=True, slots=True)
class AirSummary:
    """A list at a glance; ``known`` readings stand in the room's book already."""

    count: int
    known: int
    since: datetime
    until: datetime
    mean: Air
    coldest_c: Decimal
    hottest_c: Decimal
    driest_pct: Decimal
    wettest_pct: Decimal

    @property
    def new(self) -> int:
        return self.count - self.known


def air_summary(
    *, room_id: int, readings: Sequence[tuple[datetime, Decimal, Decimal]]
) -> AirSummary | None:
    """Sum up readings in their order; None where there are none."""
    if not readings:
        return None
    moments, warm, damp = zip(*readings, strict=True)
    known = lumber.moments_known(room_id=room_id, since=moments[0], until=moments[-1])
    return AirSummary(
        len(readings),
        len(known & set(moments)),
        moments[0],
        moments[-1],
        Air(fmean(map(float, warm)), fmean(map(float, damp))),
        min(warm),
        max(warm),
        min(damp),
        max(damp),
    )
