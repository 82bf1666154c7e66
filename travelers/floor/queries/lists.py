"""Which of many parts may go in or come out together, and why not the others?"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import groupby
from operator import itemgetter
from uuid import UUID

from django.db.models import Q

from travelers.floor.models import Event, Hold, Stay
from travelers.floor.queries.benches import lay, step_now
from travelers.floor.queries.often import BENCH_COLUMNS, STEP_COLUMNS
from travelers.floor.queries.skills import asks_any_skill, is_qualified
from travelers.floor.queries.stations import Row, all_lying, all_ready
from travelers.floor.queries.tags import why_unread
from travelers.floor.queries.wood import wood_faults
from travelers.floor.rules import reasons
from travelers.floor.rules.bench import LOOKS, Bench, StepNow, pick
from travelers.floor.rules.facts import Held, Notes, Place, facts_of, why_closed
from travelers.floor.rules.machine import State, Wish, judge
from travelers.kit.refusals import Refusal
from travelers.orders.models import Part, Step
from travelers.orders.rules import OPEN_STATES, Look
from travelers.routes.rules import Branch, OperationKind
from travelers.shop.models import Person

# More than this makes an address too long for some servers, and a hand tired.
MOST_LISTED = 120
MOST_OFFERED = 60
INSTRUMENT = BENCH_COLUMNS.index("instrument_id")


@dataclass(frozen=True, slots=True)
class Listed:
    """One part of a list, or a code that names none; with a refusal it stays behind."""

    code: str
    step_id: int = 0
    serial: str = ""
    model: str = ""
    finish: str = ""
    branch: Branch | None = None
    operation: str = ""
    dwell: timedelta = timedelta(0)
    out_at: datetime | None = None
    refusal: Refusal | None = None
    look: Look = Look.WAITING
    # There is something to do for it on its own screen, for this person.
    can_be_opened: bool = False


@dataclass(frozen=True, slots=True)
class Several:
    """A list of parts at a station: those that can go, those that cannot, the rest."""

    wish: Wish
    load: UUID
    going: tuple[Listed, ...]
    apart: tuple[Listed, ...]
    offered: tuple[Row, ...]
    places: int
    places_free: int
    in_load: int

    @property
    def codes(self) -> tuple[str, ...]:
        return tuple(one.code for one in (*self.going, *self.apart))

    @property
    def parts(self) -> str:
        """Give the whole list as its address has it."""
        return ",".join(self.codes)

    @property
    def all_offered(self) -> str:
        return ",".join(row.code for row in self.offered)

    @property
    def newest_first(self) -> tuple[Listed, ...]:
        return self.going[::-1]

    @property
    def is_loading(self) -> bool:
        return self.wish is Wish.LOAD

    @property
    def places_after(self) -> int:
        """Say how many places are free once the list is confirmed."""
        moved = len(self.going)
        return self.places_free + (-moved if self.is_loading else moved)


def several(
    *,
    place: Place,
    person: Person,
    wish: Wish,
    load: UUID,
    codes: Sequence[str],
    at: datetime,
) -> Several:
    """Judge the parts of a list one after another, in as many queries as for one.

    Each part that can go in takes a place from those behind it.
    """
    benches = _benches(codes)
    judged = _judge_all(_Asked(place, person, wish, at), benches, codes)
    going = tuple(one for one in judged if one.refusal is None)
    apart = tuple(one for one in judged if one.refusal is not None)
    return Several(
        wish,
        load,
        going,
        apart,
        tuple(_offered(place, wish, codes, at))[:MOST_OFFERED],
        place.places,
        place.places_free,
        Stay.objects.filter(load=load).count(),
    )


def _offered(
    place: Place, wish: Wish, codes: Sequence[str], at: datetime
) -> Iterator[Row]:
    """List what could come on the list too, to be touched instead of scanned."""
    is_loading = wish is Wish.LOAD
    rows = (all_ready if is_loading else all_lying)(place=place, at=at)
    for row in rows:
        fits = row.can_be_taken and (row.is_laid or not is_loading)
        if fits and row.look is not Look.HELD and row.code not in codes:
            yield row


@dataclass(frozen=True, slots=True)
class _Asked:
    place: Place
    person: Person
    wish: Wish
    at: datetime
    wood: Mapping[int, Refusal] = field(default_factory=dict)


def _judge_all(
    asked: _Asked, benches: Mapping[str, tuple[Bench, int]], codes: Sequence[str]
) -> list[Listed]:
    chosen = {code: _step(asked.place, *found) for code, found in benches.items()}
    notes = _notes(step.id for step in chosen.values() if step)
    holds = _holds(bench for bench, _ in benches.values())
    if asked.wish is Wish.TAKE_OUT:
        leaving = [(benches[code][0], step) for code, step in chosen.items() if step]
        wood = wood_faults(leaving=leaving, place=asked.place, at=asked.at)
        asked = replace(asked, wood=wood)
    free = asked.place.places_free
    judged, seen = [], set()
    for code in codes:
        if code not in benches:
            judged.append(Listed(code, refusal=why_unread(text=code)))
            continue
        (bench, part_id), step = benches[code], chosen[code]
        if step is None or step.id in seen:
            judged += [] if step else [_closed(bench, part_id)]
            continue
        seen.add(step.id)
        place = replace(asked.place, places_free=free)
        one = _judge(
            replace(asked, place=place),
            bench,
            step,
            notes.get(step.id, Notes()),
            _held(bench, step, holds),
        )
        judged.append(one)
        free -= one.refusal is None and asked.wish is Wish.LOAD
    return judged


def _judge(
    asked: _Asked, bench: Bench, step: StepNow, notes: Notes, held: Held | None
) -> Listed:
    line = bench.route.by_id[step.operation_id]
    facts = facts_of(
        bench,
        step,
        notes,
        station=asked.place,
        person=str(asked.person),
        roles=frozenset(asked.person.roles),
        held=held,
        mates={},
        qualified=is_qualified(
            bench=bench, step=step, person=asked.person, at=asked.at
        ),
        wood_fault=asked.wood.get(step.id),
    )
    answer = judge(facts, asked.wish, asked.at)
    refusal = answer if isinstance(answer, Refusal) else None
    if refusal and refusal.code == reasons.NOT_NOW.code:
        refusal = facts.not_here() if not facts.here else _not_now(bench, step)
    shown = bench.about
    return Listed(
        bench.part(step.part_id).code,
        step.id,
        bench.serial,
        shown.model if shown else "",
        shown.finish if shown else "",
        bench.part(step.part_id).branch,
        bench.title(step),
        line.shortest_dwell,
        step.dwell_until
        if step.state is State.DWELLING
        else asked.at + line.shortest_dwell,
        refusal,
        LOOKS[step.state],
        refusal is not None and _can_be_opened(refusal, asked.person),
    )


def _can_be_opened(refusal: Refusal, person: Person) -> bool:
    if refusal.code in (reasons.CHECK_MISSING.code, reasons.OUT_OF_TOLERANCE.code):
        return True
    return any(person.has(role) for role in refusal.may_allow)


def _not_now(bench: Bench, step: StepNow) -> Refusal:
    """Say in the words of a list why a part's state does not let it come along."""
    operation = bench.title(step)
    if step.state is State.DWELLING:
        since = step.started_at.isoformat() if step.started_at else ""
        return reasons.LIES_ALREADY.about(
            operation=operation, place=step.place, since_at=since
        )
    if bench.route.by_id[step.operation_id].kind is OperationKind.HOLD:
        return reasons.NOT_IN_YET.about(operation=operation)
    return reasons.NOT_LAID.about(operation=operation)


def _closed(bench: Bench, part_id: int) -> Listed:
    part = bench.part(part_id)
    refusal = why_closed(bench, part_id)
    return Listed(part.code, serial=bench.serial, branch=part.branch, refusal=refusal)


def _step(place: Place, bench: Bench, part_id: int) -> StepNow | None:
    return pick(bench, part_id, station_id=place.id, stage_id=place.stage_id)


def _benches(codes: Sequence[str]) -> dict[str, tuple[Bench, int]]:
    """Lay the instruments of all these parts on the bench at once."""
    named = dict(
        Part.objects.filter(code__in=codes).values_list("code", "instrument_id")
    )
    ids = sorted(set(named.values()))
    parts = list(
        Part.objects.filter(instrument_id__in=ids)
        .order_by("instrument_id", "id")
        .values_list(*BENCH_COLUMNS)
    )
    steps: dict[int, list[StepNow]] = {}
    rows = Step.objects.filter(instrument_id__in=ids, state__in=OPEN_STATES)
    for instrument_id, *row in rows.order_by("part_id", "position").values_list(
        "instrument_id", *STEP_COLUMNS
    ):
        steps.setdefault(instrument_id, []).append(step_now(tuple(row)))
    benches, asks_skill = {}, asks_any_skill()
    for instrument_id, own in groupby(parts, key=itemgetter(INSTRUMENT)):
        benches[instrument_id] = lay(
            rows=list(own),
            steps=steps.get(instrument_id, ()),
            asks_skill=asks_skill,
        )
    by_code = {code: part_id for part_id, _, code, *_ in parts}
    return {code: (benches[named[code]], by_code[code]) for code in named}


def _notes(step_ids: Iterable[int]) -> dict[int, Notes]:
    rows = (
        Event.objects.filter(
            step_id__in=list(step_ids), accepted=True, corrected_by=None
        )
        .order_by("step_id", "seq")
        .values_list("step_id", "kind", "data", "event_id", "person_id")
    )
    return {
        step_id: Notes.of((kind, data, event, who) for _, kind, data, event, who in own)
        for step_id, own in groupby(rows, key=lambda row: row[0])
    }


def _holds(benches: Iterable[Bench]) -> dict[int, list[Hold]]:
    """Read the open holds of all that is held, oldest first, in one query or none."""
    held = {
        bench.instrument_id
        for bench in benches
        if bench.held_at or any(part.held_at for part in bench.parts)
    }
    found: dict[int, list[Hold]] = {}
    if held:
        for hold in (
            Hold.objects.filter(Q(lifted__isnull=True), instrument_id__in=held)
            .select_related("event__person")
            .order_by("event__happened_at", "event_id")
        ):
            found.setdefault(hold.instrument_id, []).append(hold)
    return found


def _held(
    bench: Bench, step: StepNow, holds: Mapping[int, Sequence[Hold]]
) -> Held | None:
    parts = {part.id for part in bench.parts_in(step)}
    for hold in holds.get(bench.instrument_id, ()):
        if hold.part_id is None or hold.part_id in parts:
            return Held(
                bench.serial,
                hold.event.happened_at,
                str(hold.event.person),
                hold.reason,
            )
    return None
