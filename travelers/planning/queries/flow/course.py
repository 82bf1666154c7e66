"""What lay at which stage as each day ended, and how many were gone by then?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from travelers.planning.models import Counted, DayCount
from travelers.planning.queries.counted import counts_of_today
from travelers.planning.queries.flow.asked import Asked
from travelers.planning.rules import Count, Place, days
from travelers.routes.rules import Branch
from travelers.shop.models import Stage


@dataclass(frozen=True, slots=True)
class StageNamed:
    id: int
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class DayRow:
    """A day: what came on the floor, left it, and lay at each stage at its end.

    ``gone`` are all that left since the first of the days.
    """

    day: date
    entered: int
    left: int
    gone: int
    lays: tuple[int, ...]
    stages: tuple[StageNamed, ...]

    @property
    def by_stage(self) -> tuple[tuple[StageNamed, int], ...]:
        return tuple(zip(self.stages, self.lays, strict=True))

    @property
    def lay(self) -> int:
        return sum(self.lays)


@dataclass(frozen=True, slots=True)
class Course:
    """The days of a time, the last of them not over, and the stages by position."""

    stages: tuple[StageNamed, ...]
    days: tuple[DayRow, ...]

    @property
    def over(self) -> tuple[DayRow, ...]:
        """Give the days that are over."""
        return self.days[:-1]

    @property
    def weekly(self) -> tuple[DayRow, ...]:
        """Give every seventh day back from the last, as the table shows them."""
        return self.days[::-7][::-1] if len(self.days) > 31 else self.days


def course(*, asked: Asked, today: Mapping[Place, Count]) -> Course:
    """Read the counted days, and put the one that is not over behind them."""
    branch = asked.of or ""
    lays: dict[tuple[date, int], int] = {}
    moved: dict[date, list[int]] = defaultdict(lambda: [0, 0])
    rows = DayCount.objects.filter(
        day__gte=asked.first, day__lt=asked.today, branch=branch
    )
    for day, stage, entered, left, lay in rows.values_list(
        "day", "stage_id", "entered", "left", "lay"
    ):
        lays[day, stage] = lay
        moved[day][0] += entered
        moved[day][1] += left
    for place, one in today.items():
        if place.branch == asked.of:
            lays[asked.today, place.stage_id] = one.lay
            moved[asked.today][0] += one.entered
            moved[asked.today][1] += one.left
    stages = stages_named()
    seen = {stage for _, stage in lays}
    shown = tuple(one for one in stages if one.id in seen)
    found, gone = [], 0
    for day in days(asked.first, asked.today):
        entered, left = moved[day]
        gone += left
        at_stages = tuple(lays.get((day, one.id), 0) for one in shown)
        found.append(DayRow(day, entered, left, gone, at_stages, shown))
    return Course(shown, tuple(found))


def stages_named() -> tuple[StageNamed, ...]:
    """Name the stages by their position on the floor."""
    rows = Stage.objects.order_by("position").values_list("pk", "code", "name")
    return tuple(StageNamed(*row) for row in rows)


def live(*, asked: Asked, known: Counted) -> dict[Place, Count]:
    """Count the day that is not over."""
    return counts_of_today(known=known, today=asked.today, zone=asked.zone)


def part_of(*, text: str) -> Branch | None:
    """Read a branch from an address; anything else is whole instruments."""
    return Branch(text) if text in set(Branch) else None
