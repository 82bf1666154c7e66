"""What waits for a lead or for QA to decide?"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from travelers.floor.queries import Waits, Wanted, waiting
from travelers.orders.queries import Wanting, parts_wanting_wood
from travelers.quality.queries.defects import Found, list_defects


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that waits on the floor, and for how long."""

    waits: Waits
    age: timedelta


@dataclass(frozen=True, slots=True)
class Decisions:
    """All that waits, by what is to be decided; the oldest first."""

    asked: tuple[Row, ...]
    outside: tuple[Row, ...]
    defects: tuple[Found, ...]
    holds: tuple[Row, ...]
    came_late: tuple[Row, ...]
    wanted_back: tuple[Row, ...]
    wood: tuple[Wanting, ...] = ()

    @property
    def count(self) -> int:
        rows = self.asked, self.outside, self.holds, self.came_late, self.wanted_back
        return sum(map(len, rows)) + len(self.defects) + len(self.wood)


def decisions(*, now: datetime) -> Decisions:
    rows: dict[Wanted, list[Row]] = {wanted: [] for wanted in Wanted}
    for one in waiting(at=now):
        rows[one.wanted].append(Row(one, now - one.at))
    return Decisions(
        asked=tuple(rows[Wanted.ASKED]),
        outside=tuple(rows[Wanted.OUTSIDE]),
        defects=tuple(reversed(list_defects(now=now).open)),
        holds=tuple(rows[Wanted.OLD_HOLD]),
        came_late=tuple(rows[Wanted.CAME_LATE]),
        wanted_back=tuple(rows[Wanted.TAKE_BACK]),
        wood=parts_wanting_wood(),
    )
