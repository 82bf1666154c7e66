"""What does QA see of a trace: where it came from, and where all of it is today?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from django.db.models import F

from travelers.kit.days import start_of
from travelers.kit.leaves import Leaf
from travelers.orders.models import Instrument
from travelers.orders.queries import InstrumentRow, instrument_rows
from travelers.orders.rules import InstrumentState
from travelers.quality.queries.trace.edges import Edges
from travelers.quality.queries.trace.names import Named, find_thing, names_of
from travelers.quality.rules import Kind, Thing, Web, walk
from travelers.shop.models import Gauge, GaugeFault
from travelers.shop.queries import GaugeFaultRow, find_gauge_fault

ON_A_LEAF = 60
# So many twigs of a kind are shown; a station's day or a delivery has fewer.
MOST_TWIGS = 300


@dataclass(frozen=True, slots=True)
class Twig:
    """A thing that a trace comes to next, and how many instruments lie beyond it."""

    named: Named
    instruments: int
    is_open: bool


@dataclass(frozen=True, slots=True)
class Source:
    """Things of one kind that a thing came of."""

    kind: Kind
    named: tuple[Named, ...]


@dataclass(frozen=True, slots=True)
class Counts:
    """How many instruments are where today; ``stock`` counts sets of no instrument."""

    open: int
    held: int
    finished: int
    scrapped: int
    stock: int

    @property
    def instruments(self) -> int:
        return self.open + self.finished + self.scrapped


@dataclass(frozen=True, slots=True)
class Touched:
    """An instrument that a trace comes to, and through which of its parts."""

    row: InstrumentRow
    through: tuple[Named, ...]


@dataclass(frozen=True, slots=True)
class TracePage:
    start: Named
    sources: tuple[Source, ...]
    twigs: tuple[Twig, ...]
    more_twigs: int
    counts: Counts
    touched: tuple[Touched, ...]
    leaf: Leaf
    since: date | None
    fault: GaugeFaultRow | None = None


def trace_page(
    *, kind: str, key: str, leaf: int, since: date | None, zone: ZoneInfo
) -> TracePage:
    """Trace a thing both ways.

    What a gauge measured counts from ``since``, by default its last calibration: until
    then it was known to be good.
    """
    start = find_thing(kind=kind, key=key)
    since = since or known_good(start)
    web = descend(start=start, since=since, zone=zone)
    up = walk(start, Edges(zone=zone).up)
    twigs = web.next_of.get(start, ())
    instruments = web.of(Kind.INSTRUMENT) or (
        (start,) if start.kind is Kind.INSTRUMENT else ()
    )
    counts = _counts(instruments, _stock(web))
    shown, cut = _leaf(instruments, leaf)
    through = _through(web, shown)
    names = names_of(things={start, *up.found, *twigs[:MOST_TWIGS], *_all_of(through)})
    return TracePage(
        names[start],
        tuple(
            Source(one, tuple(names[thing] for thing in things))
            for one in Kind
            if (things := up.of(one))
        ),
        tuple(_twig(web, thing, names) for thing in twigs[:MOST_TWIGS]),
        max(0, len(twigs) - MOST_TWIGS),
        counts,
        _touched(shown, through, names),
        cut,
        since,
        find_gauge_fault(tag=key) if start.kind is Kind.GAUGE else None,
    )


def twigs_of(*, kind: str, key: str, zone: ZoneInfo) -> tuple[Twig, ...]:
    """Give what a trace comes to next from one of its things."""
    start = find_thing(kind=kind, key=key)
    web = descend(start=start, since=None, zone=zone)
    twigs = web.next_of.get(start, ())[:MOST_TWIGS]
    names = names_of(things=twigs)
    return tuple(_twig(web, thing, names) for thing in twigs)


def descend(*, start: Thing, since: date | None, zone: ZoneInfo) -> Web:
    """Find all that came of a thing; of a gauge, since it was known to be good."""
    since = since or known_good(start)
    from_ = start_of(since, zone) if since else None
    return walk(start, Edges(zone=zone, since=from_).down)


def known_good(start: Thing) -> date | None:
    """Say until which day a gauge was known to be good; None for all else.

    Of one that was found bad QA said so; of any other it is its last calibration.
    """
    if start.kind is not Kind.GAUGE:
        return None
    fault = GaugeFault.objects.filter(
        gauge_id=int(start.id), ended_at__isnull=True
    ).first()
    if fault:
        return fault.good_until_on
    day: date = Gauge.objects.values_list("calibrated_on", flat=True).get(pk=start.id)
    return day


def _twig(web: Web, thing: Thing, names: Mapping[Thing, Named]) -> Twig:
    beyond = web.beyond(thing)
    instruments = sum(one.kind is Kind.INSTRUMENT for one in beyond)
    return Twig(names[thing], instruments, bool(beyond))


def _stock(web: Web) -> int:
    """Count the sets that no instrument has, and which are there therefore."""
    sets = [thing for thing in web.of(Kind.PLANK_SET) if not web.next_of.get(thing)]
    own = web.start.kind is Kind.PLANK_SET and not web.next_of.get(web.start)
    return len(sets) + own


def _counts(instruments: tuple[Thing, ...], stock: int) -> Counts:
    rows = Instrument.objects.filter(pk__in=[thing.id for thing in instruments])
    states = list(rows.values_list("state", "held_at", "pk"))
    held = set(
        Instrument.objects.filter(
            pk__in=[pk for _, _, pk in states], parts__held_at__isnull=False
        ).values_list("pk", flat=True)
    )
    return Counts(
        sum(state == InstrumentState.OPEN for state, _, _ in states),
        sum(
            state == InstrumentState.OPEN and (held_at is not None or pk in held)
            for state, held_at, pk in states
        ),
        sum(state == InstrumentState.FINISHED for state, _, _ in states),
        sum(state == InstrumentState.SCRAPPED for state, _, _ in states),
        stock,
    )


def _leaf(instruments: tuple[Thing, ...], number: int) -> tuple[list[Instrument], Leaf]:
    """Cut one leaf: what is on the floor first, then what has left it."""
    of = max(1, -(-len(instruments) // ON_A_LEAF))
    number = min(max(1, number), of)
    rows = Instrument.objects.filter(pk__in=[thing.id for thing in instruments])
    start = (number - 1) * ON_A_LEAF
    shown = rows.order_by(F("closed_at").desc(nulls_first=True), "serial")[
        start : start + ON_A_LEAF
    ]
    return list(shown), Leaf(number, of, len(instruments))


def _through(web: Web, shown: list[Instrument]) -> Mapping[int, tuple[Thing, ...]]:
    """Say for each instrument through which of its parts the trace came."""
    wanted = {str(row.pk): row.pk for row in shown}
    found: dict[int, list[Thing]] = {}
    for part in (web.start, *web.of(Kind.PART)):
        if part.kind is not Kind.PART:
            continue
        for there in web.next_of.get(part, ()):
            if there.kind is Kind.INSTRUMENT and there.id in wanted:
                found.setdefault(wanted[there.id], []).append(part)
    return {pk: tuple(parts) for pk, parts in found.items()}


def _all_of(through: Mapping[int, tuple[Thing, ...]]) -> set[Thing]:
    return {part for parts in through.values() for part in parts}


def _touched(
    shown: list[Instrument],
    through: Mapping[int, tuple[Thing, ...]],
    names: Mapping[Thing, Named],
) -> tuple[Touched, ...]:
    return tuple(
        Touched(row, tuple(names[part] for part in through.get(one.pk, ())))
        for one, row in zip(shown, instrument_rows(instruments=shown), strict=True)
    )
