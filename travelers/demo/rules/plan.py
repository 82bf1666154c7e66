"""Which orders did the shop take, how many of what, and when were they released?"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from random import Random

from travelers.demo.rules.hours import Hours

# Over so many working days the released instruments are spread: a little longer than
# one needs from the saw to its case, so that the eldest are finished.
SPREAD_OVER = 175
WORKDAY = timedelta(hours=8.5)
# The last order went to the saw so long (of open time) before the end.
LAST_RELEASE = timedelta(hours=3)
LEAST, MOST = 4, 9
# Every third order is of the model that takes more time.
MODELS = ("HERON", "TERN", "TERN")
PROMISED_DAYS = {"TERN": 182, "HERON": 203}
# The first orders were promised too soon; the planner learned from each of them.
LEARNED_DAYS, LESSONS = 8, 20
NOTES = (
    "",
    "",
    "",
    "For the shop in the harbour street",
    "Matched pair if the wood allows",
    "Show piece; choose quiet grain",
    "Lighter bodies first",
)


@dataclass(frozen=True, slots=True)
class Planned:
    """An order as the planner made it; without ``released_at`` it still waits."""

    number: str
    model: str
    finish: str
    note: str
    quantity: int
    due_on: date
    priority: int
    made_at: datetime
    released_at: datetime | None = None
    has_wood: bool = True


def plan(
    *,
    instruments: int,
    finishes: Mapping[str, Sequence[str]],
    hours: Hours,
    end: datetime,
    chance: Random,
) -> tuple[Planned, ...]:
    """List the orders, eldest first; two of the youngest are not released yet."""
    sizes = split(instruments, chance)
    desk = _Desk(finishes, hours, chance)
    moments, at = [], hours.before(end, LAST_RELEASE)
    for quantity in sizes:
        moments.append(at)
        at = hours.before(at, quantity * WORKDAY * SPREAD_OVER / instruments)
    released = [
        desk.order(position, quantity, at)
        for position, (quantity, at) in enumerate(
            zip(reversed(sizes), reversed(moments), strict=True)
        )
    ]
    small = max(1, instruments // 8)
    return (
        *released,
        desk.waits(len(sizes), min(6, small), hours.before(end, 3 * WORKDAY)),
        desk.waits(len(sizes) + 1, min(5, small), hours.before(end, WORKDAY), False),
    )


def released(orders: Iterable[Planned]) -> Counter[str]:
    """Count the instruments of each model that went to the floor."""
    made: Counter[str] = Counter()
    for order in orders:
        if order.released_at:
            made[order.model] += order.quantity
    return made


def split(total: int, chance: Random) -> list[int]:
    """Cut a total into orders of the usual sizes; a small one into small orders."""
    most = max(1, min(MOST, total // 5))
    least = max(1, min(LEAST, most // 2))
    sizes: list[int] = []
    while (left := total - sum(sizes)) > most:
        sizes.append(min(chance.randint(least, most), left - least))
    return [*sizes, left] if left else sizes


@dataclass(frozen=True, slots=True)
class _Desk:
    """Where the planner writes orders down."""

    finishes: Mapping[str, Sequence[str]]
    hours: Hours
    chance: Random

    def order(self, position: int, quantity: int, released_at: datetime) -> Planned:
        lead = timedelta(hours=self.chance.uniform(4, 30))
        written = self._write(position, quantity, self.hours.before(released_at, lead))
        return replace(written, released_at=released_at)

    def waits(
        self, position: int, quantity: int, made_at: datetime, has_wood: bool = True
    ) -> Planned:
        return replace(self._write(position, quantity, made_at), has_wood=has_wood)

    def _write(self, position: int, quantity: int, made_at: datetime) -> Planned:
        model = MODELS[position % len(MODELS)]
        made_on = self.hours.day_of(made_at)
        learned = LEARNED_DAYS * min(position, LESSONS)
        spread = self.chance.randint(-24, 38)
        promised = timedelta(days=PROMISED_DAYS[model] + learned + spread)
        return Planned(
            number=f"{made_on:%y}-{101 + position}",
            model=model,
            finish=self.chance.choice(self.finishes[model]),
            note=self.chance.choice(NOTES),
            quantity=quantity,
            due_on=self.hours.workday_from(made_on + promised),
            priority=self.chance.choice((3, 5, 5, 5, 5, 7)),
            made_at=made_at,
        )
