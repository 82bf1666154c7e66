"""What does the meeting on Monday look at: late, limits, stuck, drying, quality?"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Min

from travelers.floor import queries as on_floor
from travelers.lumber import queries as lumber
from travelers.lumber.queries import Climate
from travelers.orders.models import Part, Step, WorkOrder
from travelers.orders.queries import open_orders
from travelers.orders.rules import Look
from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size
from travelers.planning.queries import FlowAsked, flow_ages
from travelers.planning.queries.drying import Forecast, Outlook, forecasts
from travelers.planning.queries.flow.ages import Open
from travelers.planning.queries.forecast import limits_page, promises_page
from travelers.planning.queries.forecast.page import (
    GainRow,
    Known,
    PromiseRow,
    StationRow,
)
from travelers.quality.queries import (
    ParetoAsked,
    chart_list,
    decisions,
    open_signals,
    pareto_page,
)
from travelers.quality.queries.pareto import KindRow
from travelers.routes.models import Characteristic

# What is named of each list, so that the whole fits on two sheets.
MOST_LATE, MOST_LIMITS, MOST_GAINS, MOST_OLD = 7, 4, 3, 6
MOST_NEVER, MOST_KINDS, MOST_SIGNALS, MOST_HELD = 5, 6, 4, 5
WEEKS_AHEAD, WEEKS_BACK = 8, 4
DAY, WEEK = timedelta(days=1), timedelta(days=7)
# What is old is told by what was finished in so many days.
OLD_BY_DAYS = 91


@dataclass(frozen=True, slots=True)
class LateRow:
    """An order that is late in more futures than not; shares of the time drawn."""

    promise: PromiseRow
    first: float
    likely: float
    last: float
    due: float


@dataclass(frozen=True, slots=True)
class Late:
    """What is forecast to be late, the surest first; and what is past its day."""

    known: Known | None
    rows: tuple[LateRow, ...]
    count: int
    overdue: int
    since: date
    until: date

    @property
    def more(self) -> int:
        return self.count - len(self.rows)


@dataclass(frozen=True, slots=True)
class Limit:
    """What limits output, and which changes would bring most."""

    stations: tuple[StationRow, ...]
    named: StationRow | None
    gains: tuple[GainRow, ...]


@dataclass(frozen=True, slots=True)
class Stuck:
    """What is on the floor longer than nearly all that was finished lately."""

    rows: tuple[Open, ...]
    count: int
    open: int
    finished: int
    old_days: float | None

    @property
    def more(self) -> int:
        return self.count - len(self.rows)

    @property
    def longest_days(self) -> float:
        return max((one.age_days for one in self.rows), default=1.0)


@dataclass(frozen=True, slots=True)
class DryWeek:
    """A week that begins on a day, and how many sets are likely dry in it."""

    day: date
    count: int


@dataclass(frozen=True, slots=True)
class Never:
    """A set that this room's air as it is now will never bring below its limit."""

    set_number: str
    serial: str


@dataclass(frozen=True, slots=True)
class DryRoom:
    """What dries in a room: what comes, what is dry, what nobody read, what never."""

    climate: Climate
    lying: int
    dry: int
    may_be: int
    unread: int
    weeks: tuple[DryWeek, ...]
    later: int
    never: tuple[Never, ...]
    never_count: int

    @property
    def most(self) -> int:
        return max((week.count for week in self.weeks), default=0)

    @property
    def coming(self) -> int:
        return sum(week.count for week in self.weeks)


@dataclass(frozen=True, slots=True)
class Signals:
    """A characteristic with signals of the last weeks that nobody answered."""

    number: int
    name: str
    operation: str
    model: str
    count: int


@dataclass(frozen=True, slots=True)
class HeldRow:
    """An instrument of which something is held, since when and why."""

    serial: str
    since: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class Quality:
    """What was found in the last weeks, and what still waits for a word."""

    since: date
    until: date
    found: int
    kinds: tuple[KindRow, ...]
    signals: tuple[Signals, ...]
    open_defects: int
    held: tuple[HeldRow, ...]
    held_count: int

    @property
    def named_signals(self) -> tuple[Signals, ...]:
        return self.signals[:MOST_SIGNALS]

    @property
    def open_signals(self) -> int:
        return sum(one.count for one in self.signals)

    @property
    def most(self) -> int:
        return max((one.count for one in self.kinds), default=0)


@dataclass(frozen=True, slots=True)
class Digest:
    """All that the Monday meeting looks at, as it is at one moment."""

    at: datetime
    day: date
    late: Late
    limit: Limit
    stuck: Stuck
    rooms: tuple[DryRoom, ...]
    quality: Quality
    size: Size
    language: str


def digest_now(*, at: datetime, zone: ZoneInfo, size: Size = Size.A4) -> Digest:
    """Draw up the digest; what was forecast is what was kept last."""
    today = at.astimezone(zone).date()
    return Digest(
        at,
        today,
        _late(at, today, zone),
        _limit(at),
        _stuck(at, zone),
        tuple(_room(one, at, zone) for one in lumber.climates(at=at)),
        _quality(at, today, zone),
        size,
        language(),
    )


def _late(at: datetime, today: date, zone: ZoneInfo) -> Late:
    page = promises_page(order="", at=at, zone=zone)
    late = [one for one in page.orders if one.is_late]
    named = late[:MOST_LATE]
    ends = [day for one in named for day in (one.due_on, one.by[-1])]
    since, until = min([today, *ends]), max([today + WEEK, *ends])
    overdue = WorkOrder.objects.filter(pk__in=open_orders(), due_on__lt=today)

    def share(day: date) -> float:
        return (day - since) / (until - since)

    rows = tuple(
        LateRow(
            one, share(one.by[0]), share(one.by[1]), share(one.by[2]), share(one.due_on)
        )
        for one in named
    )
    return Late(page.known, rows, len(late), overdue.count(), since, until)


def _limit(at: datetime) -> Limit:
    page = limits_page(at=at)
    gains = sorted(page.gains, key=lambda one: (-one.days[0], one.code, one.change))
    return Limit(
        tuple(one for one in page.stations[:MOST_LIMITS] if one.limits_pct > 0),
        page.limit,
        tuple(one for one in gains[:MOST_GAINS] if one.days[0] > 0),
    )


def _stuck(at: datetime, zone: ZoneInfo) -> Stuck:
    ages = flow_ages(asked=FlowAsked(OLD_BY_DAYS, None, at, zone))
    limit = ages.old_days
    old = [one for one in ages.rows if limit is not None and one.age_days > limit]
    return Stuck(
        tuple(old[:MOST_OLD]), len(old), len(ages.rows), ages.leads.count, limit
    )


def _room(climate: Climate, at: datetime, zone: ZoneInfo) -> DryRoom:
    found = forecasts(climate=climate, at=at)
    often = Counter(one.outlook for one in found.values())
    weeks = _weeks(found.values(), at, zone)
    never = [step for step, one in found.items() if one.outlook is Outlook.NEVER]
    coming = sum(week.count for week in weeks)
    return DryRoom(
        climate,
        len(found),
        often[Outlook.DRY],
        often[Outlook.MAY_BE],
        often[Outlook.UNREAD],
        weeks,
        often[Outlook.WILL_BE] - coming,
        _never(never),
        len(never),
    )


def _weeks(
    found: Iterable[Forecast], at: datetime, zone: ZoneInfo
) -> tuple[DryWeek, ...]:
    days = [one.expected_at for one in found if one.outlook is Outlook.WILL_BE]
    weeks = Counter((day - at) // WEEK for day in days if day)
    first = at.astimezone(zone).date()
    return tuple(DryWeek(first + n * WEEK, weeks[n]) for n in range(WEEKS_AHEAD))


def _never(steps: Sequence[int]) -> tuple[Never, ...]:
    rows = Step.objects.filter(pk__in=steps).order_by("started_at", "pk")
    return tuple(
        Never(number, serial)
        for number, serial in rows.values_list(
            "part__plank_set__number", "instrument__serial"
        )[:MOST_NEVER]
    )


def _quality(at: datetime, today: date, zone: ZoneInfo) -> Quality:
    since = today - WEEKS_BACK * WEEK + DAY
    found = pareto_page(asked=ParetoAsked(since, today), at=at, zone=zone)
    held = _held()
    return Quality(
        since,
        today,
        found.count,
        found.kinds[:MOST_KINDS],
        _signals(at, zone),
        len(decisions(now=at).defects),
        held[:MOST_HELD],
        len(held),
    )


def _held() -> tuple[HeldRow, ...]:
    """Name what is held, the longest held first, with the oldest of its reasons."""
    rows = (
        Part.objects.filter(stage__isnull=False, look=Look.HELD)
        .values_list("instrument_id", "instrument__serial")
        .annotate(held_since=Min("since"))
        .order_by("held_since", "instrument__serial")
    )
    found = list(rows)
    why: dict[int, str] = {}
    for stop in on_floor.open_holds(instrument_ids=[pk for pk, *_ in found]):
        why.setdefault(stop.instrument_id, stop.reason)
    return tuple(HeldRow(serial, since, why.get(pk, "")) for pk, serial, since in found)


def _signals(at: datetime, zone: ZoneInfo) -> tuple[Signals, ...]:
    """Count the signals of the last weeks that nobody answered, the most first.

    Of what its route says is charted: drawing all that is measured takes long.
    """
    since = at - WEEKS_BACK * WEEK
    rows = [one for one in chart_list(at=at) if one.last_at and one.last_at >= since]
    charted = set(
        Characteristic.objects.filter(
            pk__in=[one.id for one in rows], charted=True
        ).values_list("pk", flat=True)
    )
    counts = open_signals(numbers=charted, since=since, zone=zone)
    found = [
        Signals(row.id, row.name, row.operation, row.model, counts[row.id])
        for row in rows
        if counts.get(row.id)
    ]
    return tuple(sorted(found, key=lambda one: (-one.count, one.name, one.number)))
