"""How is one instrument checked after another while the shop works?"""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TypeVar
from uuid import UUID

from django.db import connection
from django.db.models import Model, QuerySet

from travelers.floor.models import Event, Load
from travelers.floor.queries.anew import all_steps, fresh_bench, lay_fresh
from travelers.floor.queries.audit import loads, shape, swaps
from travelers.floor.queries.audit import rows as in_rows
from travelers.floor.queries.audit.difference import Difference
from travelers.floor.queries.benches import part_now, told_of
from travelers.floor.rules.bench import PartNow
from travelers.floor.rules.digest import digest_of
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.swap import OutOfTurn
from travelers.orders.models import Instrument, Part

PAGE = 500

Row = TypeVar("Row", bound=Model)


@dataclass(frozen=True, slots=True)
class Checked:
    """What one instrument's rows and ledger were found to be."""

    serial: str
    events: int
    differences: tuple[Difference, ...]
    last_digest: str


def instrument_ids(*, serials: Iterable[str] = ()) -> Iterator[int]:
    """List the instruments to check, the oldest first, without keeping them."""
    rows = Instrument.objects.all()
    if wanted := list(serials):
        rows = rows.filter(serial__in=wanted)
    return (instrument.pk for instrument in _by_pages(rows.only("pk")))


# A read-only look at one moment, which waits for no scan and keeps none waiting.
BEGIN = {
    "sqlite": "BEGIN DEFERRED",
    "postgresql": "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
}


@contextmanager
def one_moment() -> Iterator[None]:
    """Let all readings inside see the rows of one moment.

    Django's own transactions take the write lock at once on SQLite, and on
    PostgreSQL each of their readings sees what was committed meanwhile.
    """
    if connection.in_atomic_block:
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(BEGIN[connection.vendor])
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")


@one_moment()
def check_instrument(*, instrument_id: int) -> Checked:
    """Compute an instrument anew from its ledger and compare it with its rows.

    1. Read all of one moment, so that no scan comes between.
    2. Each digest must fit its event and name the one before.
    3. The parts must be those that its swaps leave here.
    4. The steps must be the route's, and those that a rework added.
    5. What the accepted events make of them must be what the rows say.
    6. How a part came in by a swap must be how its own ledger had left it.

    Where the ledger itself is damaged, nothing is computed from it.
    """
    instrument = Instrument.objects.get(pk=instrument_id)
    events = list(Event.objects.filter(instrument=instrument_id).order_by("seq"))
    serial = instrument.serial
    wrong = list(_chain(serial, events))
    if not any(each.field == "digest" for each in wrong):
        wrong += _compare(instrument, events)
    return Checked(serial, len(events), tuple(wrong), _last_digest(events))


def check_unknown_codes() -> Iterator[Difference]:
    """Check the events that name no instrument; each stands alone."""
    for event in _by_pages(Event.objects.filter(instrument=None)):
        yield from _chain("unknown code", [event])


def check_loads() -> Iterator[Difference]:
    """Check each load's station, person and beginning against its first event."""
    for load in _by_keys(Load.objects.all()):
        yield from loads.compare_load(load)


def count_unknown_codes() -> int:
    return Event.objects.filter(instrument=None).count()


def _by_keys(rows: QuerySet[Load]) -> Iterator[Load]:
    """Read page by page what has no running number."""
    last = UUID(int=0)
    while page := list(rows.filter(pk__gt=last).order_by("pk")[:PAGE]):
        yield from page
        last = page[-1].pk


def _by_pages(rows: QuerySet[Row]) -> Iterator[Row]:
    """Read page by page, so that memory stays small and no read stays open."""
    last = 0
    while page := list(rows.filter(pk__gt=last).order_by("pk")[:PAGE]):
        yield from page
        last = page[-1].pk


def _last_digest(events: list[Event]) -> str:
    return events[-1].digest if events else ""


def _chain(where: str, events: Iterable[Event]) -> Iterator[Difference]:
    before = ""
    for event in events:
        what = f"event {event.kind}"
        told = digest_of(event)
        if event.digest != told:
            yield Difference(where, what, "digest", event.digest, told, event.seq)
        if event.previous_digest != before:
            yield Difference(
                where,
                what,
                "previous digest",
                event.previous_digest or "none",
                before or "none",
                event.seq,
            )
        before = event.digest


def _compare(instrument: Instrument, events: Iterable[Event]) -> list[Difference]:
    part_rows = Part.objects.filter(instrument=instrument).order_by("id")
    parts = [part_now(row) for row in part_rows]
    rows = all_steps(instrument_id=instrument.pk)
    accepted = [event for event in events if event.accepted]
    told = [told_of(event=event) for event in accepted]
    try:
        fresh = lay_fresh(instrument=instrument, parts=parts, steps=rows, told=told)
    except OutOfTurn:
        return [swaps.not_as_swapped(instrument, parts, accepted)]
    now = fresh_bench(instrument=instrument, parts=parts, steps=rows)
    if strays := list(shape.compare_shape(now, rows, _reworks(parts, accepted))):
        return strays
    folded = fresh.fold(told, instrument)
    return [
        *shape.compare_copies(now, rows),
        *in_rows.compare_steps(folded, rows, accepted),
        *in_rows.compare_parts(folded, parts),
        *in_rows.compare_made(instrument, accepted),
        *in_rows.compare_instrument(folded, instrument),
        *in_rows.compare_corrections(instrument, accepted),
        *in_rows.compare_holds(instrument, accepted),
        *in_rows.compare_readings(instrument, accepted),
        *in_rows.compare_uses(instrument, accepted),
        *loads.compare_stays(instrument, accepted),
        *swaps.compare_swaps(instrument, accepted),
    ]


def _reworks(parts: Iterable[PartNow], accepted: list[Event]) -> list[Event]:
    """Give the events that put steps into these parts' ways, wherever they were."""
    if not any(event.kind == Wish.SWAP for event in accepted):
        return accepted
    rows = Event.objects.filter(
        part__in=[part.id for part in parts], kind=Wish.REWORK, accepted=True
    )
    return list(rows.order_by("seq"))
