"""What does a plan stand on: the floor, each order alone, and what may be where?"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from travelers.formulas import forecast as fc
from travelers.formulas.odds import GRID
from travelers.formulas.releasing import DAY_S, Limit, there_by_day
from travelers.lumber.models import Room
from travelers.planning.queries.forecast import FloorNow, floor_now, lessons
from travelers.planning.queries.forecast.calendar import calendar
from travelers.planning.queries.forecast.record import Learned
from travelers.planning.queries.forecast.to_come import ToCome, to_build
from travelers.planning.queries.release.asked import Asked

# So many days ahead are planned.
DAYS = 730
# In so many futures it is looked what lies where on which day.
LOOKED = 60
# The name of the limit of all that is in work; no code of a station has a space.
IN_WORK = "in work"


@dataclass(frozen=True, slots=True, eq=False)
class Alone:
    """An order as if nothing else were on the floor.

    ``leads_s`` are the lengths of its longest way, one a future: from its start to its
    last instrument's finish.  ``uses`` says how much of each limit it takes day by day.
    """

    leads_s: Any
    uses: Mapping[str, Any]


@dataclass(frozen=True, slots=True, eq=False)
class Ground:
    """The floor with all orders to come, and what each of them takes.

    ``offset_s`` is how much of today has passed; ``open_days`` on which days from today
    on something can be started.  ``learned`` corrects what is said of orders.
    """

    asked: Asked
    floor: FloorNow
    alone: Mapping[str, Alone]
    limits: tuple[Limit, ...]
    rooms: tuple[str, ...]
    open_days: tuple[bool, ...]
    offset_s: float
    today: date
    learned: Learned = field(default_factory=Learned)

    def line(
        self,
        orders: Collection[str],
        starts: Mapping[str, int],
        *,
        ranks: Mapping[str, int] | None = None,
    ) -> fc.Line:
        """Give the floor with some orders, each started on its day.

        Those with a rank are taken by it, lower ones first; an order's own is how many
        days it is until it is due.
        """
        own = {one.number for one in self.asked.orders}
        return _line(
            self.floor.line,
            keeps=lambda order: order not in own or order in orders,
            starts={name: self.start_s(day) for name, day in starts.items()},
            ranks=ranks or {},
        )

    def by_s(self, moments_s: Any, odds: Sequence[float]) -> tuple[float, ...]:
        """Say by when an order has come with such odds, of its moments one a future."""
        return self.learned.days_s(_grid_s(moments_s), odds)

    def late_share(self, moments_s: Any, due_s: float) -> float:
        """Say how likely an order comes after a moment, of its moments one a future."""
        return self.learned.late_share(_grid_s(moments_s), due_s)

    def lead_s(self, order: ToCome) -> float:
        """Say how long before its due day an order must start, alone and as asked."""
        alone = self.alone[order.number]
        return self.by_s(alone.leads_s, [self.asked.certainty])[0]

    @property
    def behind(self) -> int:
        """The rank of what is taken after all others."""
        return 1 + max((job.rank for job in self.floor.line.jobs), default=0)

    def start_s(self, day: int) -> float:
        """Say when a day begins, in seconds from now on."""
        return max(0.0, day * DAY_S - self.offset_s)

    def due_s(self, order: ToCome) -> float:
        """Say when an order's due day ends, in seconds from now on."""
        return ((order.due_on - self.today).days + 1) * DAY_S - self.offset_s

    def latest(self, order: ToCome, lead_s: float) -> int:
        """Say on which day an order must start that takes so long."""
        return int((self.due_s(order) + self.offset_s - lead_s) // DAY_S)

    def day(self, number: int) -> date:
        return self.today + timedelta(days=number)

    def day_of(self, seconds: float) -> date:
        return self.day(int((seconds + self.offset_s) // DAY_S))

    def by_day(self, spans_s: Sequence[Any]) -> Any:
        """Count what is there day by day, in each future."""
        import numpy as np

        counted = [there_by_day(one, DAYS, offset_s=self.offset_s) for one in spans_s]
        return np.array(counted)


def ground(*, asked: Asked, at: datetime, zone: ZoneInfo, seed: int) -> Ground:
    """Read the floor, and live through it and through each order alone."""
    today = at.astimezone(zone).date()
    midnight = datetime.combine(today, time(), tzinfo=zone)
    floor = floor_now(at=at, zone=zone, planned=to_build(orders=asked.orders))
    rooms = tuple(
        Room.objects.order_by("station__code").values_list("station__code", flat=True)
    )
    found = Ground(
        asked=asked,
        floor=floor,
        alone={},
        limits=(),
        rooms=rooms,
        open_days=_open_days(today, zone),
        offset_s=(at - midnight).total_seconds(),
        today=today,
        learned=lessons(at=at).new_orders,
    )
    return looked_at(here=found, seed=seed)


def looked_at(*, here: Ground, seed: int) -> Ground:
    """Live through the floor without its orders to come, and through each of them.

    Orders of one route and size are alike: one of them is lived through.
    """
    kinds: dict[tuple[int, int], Alone] = {}
    for one in here.asked.orders:
        kind = (one.revision_id, one.quantity)
        if kind not in kinds:
            kinds[kind] = _alone(here, one, seed)
    return replace(
        here,
        alone={
            one.number: kinds[one.revision_id, one.quantity]
            for one in here.asked.orders
        },
        limits=_limits(here, seed),
    )


def _grid_s(moments_s: Any) -> tuple[float, ...]:
    return fc.quantiles_s(moments_s[:, None], GRID)[0]


def _alone(here: Ground, order: ToCome, seed: int) -> Alone:
    """Live through one order as if nothing else were on the floor."""
    import numpy as np

    line = _line(
        here.floor.line, keeps=lambda name: name == order.number, starts={}, ranks={}
    )
    found = fc.stays(replace(line, weeks=1), seed, LOOKED, here.rooms)
    spans = [np.stack([np.zeros(len(one)), one], axis=1) for one in found.finishes_s]
    uses = {IN_WORK: here.by_day(spans)}
    for room in here.rooms:
        uses[room] = here.by_day(found.lain_s[room])
    return Alone(found.finishes_s.max(axis=1), uses)


def _limits(here: Ground, seed: int) -> tuple[Limit, ...]:
    """Say how much may be where, and how much of it the floor takes as it stands."""
    import numpy as np

    line = here.line((), {})
    taken = {
        name: np.zeros((LOOKED, DAYS), np.int32) for name in (IN_WORK, *here.rooms)
    }
    if line.instruments:
        found = fc.stays(replace(line, weeks=1), seed, LOOKED, here.rooms)
        spans = [
            np.stack([np.zeros(len(one)), one], axis=1) for one in found.finishes_s
        ]
        taken[IN_WORK] = here.by_day(spans)
        for room in here.rooms:
            taken[room] = here.by_day(found.lain_s[room])
    places = {one.name: one.places for one in line.stations}
    limits = [Limit(room, places[room], taken[room]) for room in here.rooms]
    if here.asked.most is not None:
        limits.insert(0, Limit(IN_WORK, here.asked.most, taken[IN_WORK]))
    return tuple(limits)


def _line(
    line: fc.Line,
    *,
    keeps: Callable[[str], bool],
    starts: Mapping[str, float],
    ranks: Mapping[str, int],
) -> fc.Line:
    """Leave the instruments of some orders, started and taken when they are."""
    orders = {one.name: one.order for one in line.instruments if keeps(one.order)}
    jobs = []
    for job in line.jobs:
        order = orders.get(job.instrument)
        if order is None:
            continue
        if order in starts and not job.joins:
            job = replace(job, release_s=starts[order])
        if order in ranks:
            job = replace(job, rank=ranks[order])
        jobs.append(job)
    kept = tuple(one for one in line.instruments if one.name in orders)
    return replace(line, jobs=tuple(jobs), instruments=kept)


def _open_days(today: date, zone: ZoneInfo) -> tuple[bool, ...]:
    """Say on which of the days ahead any shift works."""
    known = calendar(zone=zone)
    shifts = tuple(known.shifts)
    found = []
    for number in range(DAYS):
        day = today + timedelta(days=number)
        opens = known.opens(shifts, day, day + timedelta(days=1)) if shifts else True
        found.append(bool(opens))
    return tuple(found)
