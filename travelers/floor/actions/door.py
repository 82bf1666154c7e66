"""How does a wish get in?  The only door to the ledger."""

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID, uuid5

from django.db import IntegrityError, transaction

from travelers.floor import queries
from travelers.floor.actions import ledger, wishes
from travelers.floor.actions.ledger import Verdict
from travelers.floor.actions.loads import BegunElsewhere, refused_load
from travelers.floor.actions.project import project
from travelers.floor.actions.swapping import swap
from travelers.floor.models import Event
from travelers.floor.rules import reasons
from travelers.floor.rules.bench import Bench, StepNow, pick
from travelers.floor.rules.facts import Facts, Notes, Place, facts_of, why_closed
from travelers.floor.rules.machine import REMARKS, Outcome, Wish
from travelers.floor.rules.origin import FROM_A_SCREEN, Origin
from travelers.kit.faults import tried_again
from travelers.kit.refusals import Refusal, Refused
from travelers.shop.models import Person

log = logging.getLogger(__name__)

# Heard later than this after it happened, an event counts as late.
LATE = timedelta(minutes=2)


@dataclass(frozen=True, slots=True)
class Claim:
    """A wish as it came in."""

    wish: Wish
    code: str
    station: Place | None
    person: Person
    event_id: UUID
    at: datetime
    heard_at: datetime
    step_id: int | None = None
    origin: Origin = FROM_A_SCREEN
    data: dict[str, Any] = field(default_factory=dict)

    @property
    def late(self) -> bool:
        return self.heard_at - self.at > LATE

    @property
    def past(self) -> datetime | None:
        """Give the moment that a late claim is judged at; None means now."""
        return self.at if self.late else None

    def digest(self) -> str:
        return ledger.wish_digest_of(
            wish=self.wish,
            code=self.code,
            station=self.station.code if self.station else "",
            person=self.person.pk,
            step=self.step_id,
            # Photos may have got through while their answer did not; a tablet that
            # tells of the defect again has them no more.
            data={name: said for name, said in self.data.items() if name != "photos"},
        )


@tried_again
def record(  # noqa: PLR0913 - a claim has that many parts
    *,
    wish: Wish,
    code: str = "",
    step_id: int | None = None,
    station: Place | None,
    person: Person,
    event_id: UUID,
    at: datetime,
    heard_at: datetime,
    data: dict[str, Any] | None = None,
    origin: Origin = FROM_A_SCREEN,
) -> Verdict:
    """Append what somebody wishes, accepted or refused, and answer.

    ``step_id`` is the step that the screen showed; without it a scan means the
    step that is due at ``station``.  ``at`` is when it happened and ``heard_at``
    when the server heard of it; ``origin`` tells of the tablet or paper it stood on.

    1. Lock the instrument, so that a repeat waits for the first.
    2. Look for the event's id: known, it gets its old answer.
    3. Decide by the rules, at the moment it happened.
    4. Append it to the ledger, accepted or refused.
    5. Move the projection, if accepted.

    An id that is known with another content is refused, and nothing is changed; that
    it came is itself put on record.
    """
    claim = Claim(
        wish,
        code[:64],
        station,
        person,
        event_id,
        # Hours added to local time would be those of its clock, which is changed.
        at.astimezone(UTC),
        heard_at.astimezone(UTC),
        step_id,
        origin,
        dict(data or {}),
    )
    try:
        with transaction.atomic():
            verdict = _record(claim)
    except IntegrityError:
        # Two first sendings of one id that name no common instrument to lock.
        known = Event.objects.filter(event_id=event_id).first()
        if known is None:
            raise
        verdict = _answer_again(claim, known, None, "")
    except BegunElsewhere:
        # Looked at again, the other's load is there and the rules say no.
        with transaction.atomic():
            verdict = _record(claim)
    if verdict is None:
        raise Refused(reasons.OTHER_CONTENT)
    return verdict


def _record(claim: Claim) -> Verdict | None:
    if claim.wish is Wish.SWAP:
        queries.lock_both(
            code=claim.code, step_id=claim.step_id, other=claim.data["with"]
        )
    found = queries.find_bench(
        code=claim.code, step_id=claim.step_id, lock=True, event_id=claim.event_id
    )
    bench = queries.bench_of(found=found) if found else None
    if found is None or found.known:
        known = queries.known_event(event_id=claim.event_id)
        if known:
            last_digest = found.last_digest if found else ""
            return _answer_again(claim, known, bench, last_digest)
    if bench is None or found is None:
        return _refuse_unknown(claim)
    return _decide(claim, bench, found.part_id, found.last_digest)


def _answer_again(
    claim: Claim, known: Event, bench: Bench | None, last_digest: str
) -> Verdict | None:
    """Give the first answer, or none where something else was wished the first time."""
    if known.wish_digest == claim.digest():
        return ledger.verdict_of(known, bench=bench, repeated=True)
    log.warning(
        "event %s of %s at %s came with another content than first: %s",
        claim.event_id,
        claim.person,
        claim.station.code if claim.station else "no station",
        claim.wish,
    )
    _note_other_content(claim, bench, last_digest)
    return None


def _note_other_content(claim: Claim, bench: Bench | None, last_digest: str) -> None:
    """Put on record that an id came twice: a tablet is broken, or somebody tries.

    The row's own id follows from both, so that a repeat of it adds no other.
    """
    event = _event(claim)
    event.event_id = uuid5(claim.event_id, claim.digest())
    if Event.objects.filter(event_id=event.event_id).exists():
        return
    event.instrument_id = bench.instrument_id if bench else None
    event.data["first"] = str(claim.event_id)
    _refuse(event, reasons.OTHER_CONTENT, bench, last_digest)


def _refuse_unknown(claim: Claim) -> Verdict:
    refusal = reasons.UNKNOWN_CODE.about(code=claim.code)
    return _refuse(_event(claim), refusal, None, "")


def _decide(claim: Claim, bench: Bench, part_id: int, last_digest: str) -> Verdict:
    step, finished_by = _step_meant(claim, bench, part_id)
    event = _event(claim)
    event.instrument_id = bench.instrument_id
    event.part_id = step.part_id if step else part_id
    event.step_id = step.id if step else None
    if step is None:
        # Nothing is open any more, so the instrument is finished or scrapped.
        return _refuse(event, why_closed(bench, part_id), bench, last_digest)
    who = wishes.Who(claim.person, claim.station, claim.past)
    asked = wishes.prepare(claim.wish, claim.data, bench, step, claim.at, who)
    event.data = dict(asked.data)
    no = asked.refusal
    if claim.wish is Wish.LOAD:
        no = refused_load(asked.data, claim.station)
    if no:
        return _refuse(event, no, bench, last_digest)
    answer, notes = queries.judge_step(
        wish=claim.wish,
        step=step,
        line=bench.route.by_id[step.operation_id],
        facts_with=_facts_with(claim, bench, step, finished_by, asked),
        at=claim.at,
    )
    if isinstance(answer, Refusal):
        return _refuse(event, answer, bench, last_digest)
    event.accepted = True
    event.corrects = asked.corrects
    _note_outcome(event, answer, step, notes)
    event.data |= wishes.effects(claim.wish, asked.data, bench, step, claim.at)
    if claim.wish is Wish.SWAP:
        after = swap(event, bench, last_digest)
    else:
        ledger.append(event, last_digest=last_digest)
        after = project(event, bench)
    return ledger.verdict_of(
        event, bench=after, repeated=False, operation=bench.title(step)
    )


def _refuse(
    event: Event, refusal: Refusal, bench: Bench | None, last_digest: str
) -> Verdict:
    event.refusal = refusal.code
    event.data["words"] = dict(refusal.words)
    ledger.append(event, last_digest=last_digest)
    return ledger.verdict_of(event, bench=bench, repeated=False)


def _step_meant(claim: Claim, bench: Bench, part_id: int) -> tuple[StepNow | None, str]:
    step_id = claim.step_id
    if claim.wish is Wish.SWAP or bench.part(part_id).scrapped_at:
        # It is about the part, all of whose own steps may be done or dropped.
        return queries.at_hand(bench=bench, part_id=part_id), ""
    if claim.wish is Wish.UNDO:
        # It is about the step of what is taken back, wherever the part is by now.
        told = queries.step_of_event(
            instrument_id=bench.instrument_id, event_id=claim.data["event"]
        )
        step_id = told or step_id
    if step_id is not None:
        if step := bench.step(step_id):
            return step, ""
        if closed := queries.closed_step(step_id=step_id):
            return closed
    place = claim.station
    step = pick(
        bench,
        part_id,
        station_id=place.id if place else None,
        stage_id=place.stage_id if place else None,
    )
    return step, ""


def _facts_with(
    claim: Claim, bench: Bench, step: StepNow, finished_by: str, asked: wishes.Asked
) -> Callable[[Notes], Facts]:
    """Look up the facts of a wish; what was noted of the step comes last."""
    remark = claim.wish in REMARKS
    return partial(
        facts_of,
        bench,
        step,
        station=_place_of(claim),
        person=str(claim.person),
        roles=frozenset(claim.person.roles),
        held=None if remark else queries.held_of(bench=bench, step=step, at=claim.past),
        mates={} if remark else queries.mates_of(bench=bench, step=step),
        qualified=remark
        or queries.is_qualified(
            bench=bench, step=step, person=claim.person, at=claim.at
        ),
        finished_by=finished_by,
        wood_fault=queries.wood_fault(
            bench=bench,
            step=step,
            wish=claim.wish,
            place=claim.station,
            at=claim.at,
        ),
        **asked.known,
    )


def _place_of(claim: Claim) -> Place | None:
    if claim.station is None or claim.wish is not Wish.LOAD:
        return claim.station
    return queries.count_again(place=claim.station, at=claim.past)


def _event(claim: Claim) -> Event:
    """Begin the row of a claim, not accepted until it is judged."""
    return Event(
        event_id=claim.event_id,
        kind=claim.wish,
        station_id=claim.station.id if claim.station else None,
        person=claim.person,
        code=claim.code,
        happened_at=claim.at,
        recorded_at=claim.heard_at,
        accepted=False,
        came_late=claim.late,
        tablet_id=claim.origin.tablet_id,
        tablet_number=claim.origin.number,
        tablet_at=claim.origin.tablet_at,
        source=claim.origin.source,
        entered_by_id=claim.origin.entered_by_id,
        wish_digest=claim.digest(),
        data=dict(claim.data),
    )


def _note_outcome(event: Event, outcome: Outcome, step: StepNow, notes: Notes) -> None:
    """Write down the new state and, where gates were let pass, by whom and why."""
    if outcome.state is not step.state:
        event.data["state"] = outcome.state
        if outcome.dwell_until:
            event.data["dwell_until"] = outcome.dwell_until.isoformat()
    if outcome.passed:
        first = notes.passes[outcome.passed[0].code]
        event.data["passed"] = [gate.code for gate in outcome.passed]
        event.allowed_by_id = first.person_id
        event.allowed_reason = first.reason
