"""What on the floor waits for somebody to decide?"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from django.db.models import Q

from travelers.floor.models import Event, Hold
from travelers.floor.rules import reasons
from travelers.floor.rules.facts import Notes
from travelers.floor.rules.machine import State, Wish
from travelers.kit.refusals import Refusal
from travelers.orders.models import Step
from travelers.orders.rules import InstrumentState
from travelers.routes.queries import released_route

AT_HAND = (State.READY, State.RUNNING, State.DWELLING)
# A hold that is older than this is asked about; what was wanted back, so long.
OLD = timedelta(days=1)
REMEMBERED = timedelta(days=7)
MOST_SHOWN = 200
WANTED_BACK = (
    reasons.UNDO_DEPENDS.code,
    reasons.UNDO_LATE.code,
    reasons.UNDO_OTHERS.code,
)


class Wanted(StrEnum):
    """What sort of decision is waited for."""

    ASKED = "ASKED"
    OUTSIDE = "OUTSIDE"
    OLD_HOLD = "OLD_HOLD"
    CAME_LATE = "CAME_LATE"
    TAKE_BACK = "TAKE_BACK"


@dataclass(frozen=True, slots=True)
class Waits:
    """One part that somebody has to decide about: who said what of it, and when.

    ``gate`` can be let pass, or not; ``target`` is the event that is wanted back.
    """

    wanted: Wanted
    serial: str
    branch: str
    code: str
    operation: str
    step_id: int | None
    station: str
    by: str
    at: datetime
    refusal: Refusal | None = None
    gate: str = ""
    reason: str = ""
    target: str = ""


def waiting(*, at: datetime) -> tuple[Waits, ...]:
    """List what waits for a decision on the floor, the oldest first of each sort."""
    found = [*_at_hand(), *_old_holds(at), *_wanted_back(at)]
    order = list(Wanted)
    return tuple(sorted(found, key=lambda one: (order.index(one.wanted), one.at)))


def _at_hand() -> list[Waits]:
    """Look at the steps whose turn it is: questions, readings outside, late claims.

    What a step has behind it needs nobody's decision any more.
    """
    told = Q(kind__in=[Wish.ASK, Wish.READ], accepted=True) | Q(
        came_late=True, accepted=False
    )
    events_told = Event.objects.filter(told, step__state__in=AT_HAND)
    steps = (
        Step.objects.filter(state__in=AT_HAND, instrument__state=InstrumentState.OPEN)
        .filter(pk__in=events_told.values("step"))
        .select_related("instrument", "part", "operation")
        .in_bulk()
    )
    events: dict[int, list[Event]] = defaultdict(list)
    rows = Event.objects.filter(step__in=list(steps), corrected_by=None)
    for event in rows.select_related("person", "station").order_by("seq"):
        events[event.step_id or 0].append(event)
    return [
        one for step_id, own in events.items() for one in _of_step(steps[step_id], own)
    ]


def _of_step(step: Step, events: list[Event]) -> Iterable[Waits]:
    standing = [event for event in events if event.accepted]
    notes = Notes.of((e.kind, e.data, e.event_id, e.person_id) for e in standing)
    for event in standing:
        if str(event.event_id) in notes.asked.values():
            gate = Refusal.registry[event.data["gate"]]
            words = event.data.get("about", {})
            yield _waits(Wanted.ASKED, step, event, gate.about(**words), gate.code)
    yield from _outside(step, standing, notes)
    late = events[-1]
    if not late.accepted and late.came_late:
        said = Refusal.registry[late.refusal].about(**late.data.get("words", {}))
        yield _waits(Wanted.CAME_LATE, step, late, said)


def _outside(step: Step, standing: list[Event], notes: Notes) -> Iterable[Waits]:
    """Name what was measured outside and left so, unless the lead knows already."""
    gate = reasons.OUT_OF_TOLERANCE
    known = gate.code in {*notes.passes, *notes.asked, *notes.declined}
    if known or all(taken.inside for taken in notes.readings.values()):
        return
    route = released_route(revision_id=step.instrument.revision_id)
    checks = ", ".join(notes.out(route.by_id[step.operation_id]))
    last = [event for event in standing if event.kind == Wish.READ][-1]
    yield _waits(Wanted.OUTSIDE, step, last, gate.about(checks=checks), gate.code)


def _waits(
    wanted: Wanted,
    step: Step,
    event: Event,
    refusal: Refusal,
    gate: str = "",
    target: str = "",
) -> Waits:
    return Waits(
        wanted,
        step.instrument.serial,
        step.part.branch,
        step.part.code,
        _title(step),
        step.pk,
        event.station.name if event.station else "",
        str(event.person),
        event.happened_at,
        refusal,
        gate,
        target=target,
    )


def _title(step: Step) -> str:
    line = step.operation
    return f"{line.name} {step.repeat}/{line.times}" if line.times > 1 else line.name


def _old_holds(at: datetime) -> list[Waits]:
    rows = Hold.objects.filter(
        lifted=None,
        instrument__state=InstrumentState.OPEN,
        event__happened_at__lte=at - OLD,
    ).select_related("event__person", "event__station", "instrument", "part")
    return [
        Waits(
            Wanted.OLD_HOLD,
            row.instrument.serial,
            row.part.branch if row.part else "",
            row.part.code if row.part else "",
            "",
            None,
            row.event.station.name if row.event.station else "",
            str(row.event.person),
            row.event.happened_at,
            reason=row.reason,
        )
        for row in rows.order_by("event__happened_at", "pk")
    ]


def _wanted_back(at: datetime) -> list[Waits]:
    """List what somebody tried to take back and only a lead can, once each."""
    rows = Event.objects.filter(
        kind=Wish.UNDO,
        refusal__in=WANTED_BACK,
        happened_at__gte=at - REMEMBERED,
        step__isnull=False,
    ).exclude(instrument__state=InstrumentState.SCRAPPED)
    latest = rows.select_related(
        "person", "station", "step__instrument", "step__part", "step__operation"
    ).order_by("-seq")[:MOST_SHOWN]
    tried = {event.data["event"]: event for event in latest}
    standing = Event.objects.filter(event_id__in=list(tried), corrected_by=None)
    found = []
    for target in standing.values_list("event_id", flat=True).order_by("seq"):
        event = tried[str(target)]
        assert event.step is not None  # noqa: S101 - asked for above
        said = Refusal.registry[event.refusal].about(**event.data.get("words", {}))
        found.append(
            _waits(Wanted.TAKE_BACK, event.step, event, said, target=str(target))
        )
    return found
