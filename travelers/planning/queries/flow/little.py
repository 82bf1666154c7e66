"""Do the figures of the flow agree with each other?"""

from dataclasses import dataclass

from travelers.formulas.flow import in_work
from travelers.kit.days import start_of
from travelers.orders.models import Instrument
from travelers.planning.queries.counted import open_instruments
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.queries.flow.closed import Closed
from travelers.planning.queries.flow.course import Course
from travelers.planning.rules import DAY

# Nearer than this the two sides of Little's law are called equal (common practice, no
# source).
NEAR_PCT = 10.0


@dataclass(frozen=True, slots=True)
class Little:
    """Little's law held against the days that are over.

    ``in_work`` is the mean of what lay as each day ended, ``a_day`` what left the floor
    a day, ``lead_days`` how long that had been on it on average.  ``nights`` is the
    same stock twice: the sum of the counted days, and of each instrument's own nights
    on the floor; these two must be one number.
    """

    days: int
    in_work: float
    a_day: float
    lead_days: float
    entered: int
    left: int
    nights: tuple[int, int]

    @property
    def expected(self) -> float:
        """Give what is in work by the law: what leaves a day times its lead time."""
        return in_work(self.a_day, self.lead_days)

    @property
    def apart_pct(self) -> float:
        return 100 * abs(self.expected - self.in_work) / self.in_work

    @property
    def is_near(self) -> bool:
        return self.apart_pct < NEAR_PCT

    @property
    def fills(self) -> bool:
        return self.entered > self.left

    @property
    def agrees(self) -> bool:
        return self.nights[0] == self.nights[1]

    @property
    def turns_a_year(self) -> float:
        """Give the inventory turns: what leaves in a year by what is in work."""
        return self.a_day * 365.25 / self.in_work


def little(*, asked: Asked, course: Course, closed: list[Closed]) -> Little | None:
    """Hold the mean stock against what left and how long it took.

    None where nothing lay or nothing left on the days that are over.
    """
    rows = course.over
    counted = sum(row.lay for row in rows)
    today_at = start_of(asked.today, asked.zone)
    left = [one for one in closed if one.closed_at < today_at]
    if not counted or not left:
        return None
    return Little(
        len(rows),
        counted / len(rows),
        len(left) / len(rows),
        sum(one.lead_days for one in left) / len(left),
        sum(row.entered for row in rows),
        sum(row.left for row in rows),
        (counted, _nights(asked)),
    )


def _nights(asked: Asked) -> int:
    """Sum the ends of days at which each instrument was on the floor."""
    nights = 0
    closed = Instrument.objects.filter(closed_at__gte=asked.since)
    times = [
        one
        for rows in (open_instruments(), closed)
        for one in rows.order_by().values_list("released_at", "closed_at")
    ]
    for released_at, closed_at in times:
        first = max(released_at.astimezone(asked.zone).date(), asked.first)
        last = closed_at.astimezone(asked.zone).date() if closed_at else asked.today
        nights += max((min(last, asked.today) - first) // DAY, 0)
    return nights
