"""What must be known of two parts that shall change their instruments?"""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from travelers.floor.models import Event, Hold
from travelers.floor.queries.anew import all_steps, steps_of
from travelers.floor.queries.benches import part_now
from travelers.floor.rules.anew import PART_SCRAPPED, why_not_anew
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.machine import State, Wish
from travelers.floor.rules.swap import HoldTold, Side
from travelers.formulas.codes import grouped
from travelers.kit.faults import Overtaken
from travelers.kit.refusals import Refusal
from travelers.orders.models import Instrument, Part
from travelers.orders.rules import InstrumentState
from travelers.routes.queries import released_route


@dataclass(frozen=True, slots=True)
class WentTo:
    """Where a part went in a swap, and when."""

    code: str
    serial: str
    at: datetime


def lock_both(*, code: str, step_id: int | None, other: str) -> None:
    """Lock the instruments of two parts in the order of their numbers.

    Raises
    ------
    Overtaken
        While the locks were waited for, one of the parts went elsewhere.
    """
    named = Q(code=other) | (Q(steps=step_id) if step_id else Q(code=code))
    parts = Part.objects.filter(named).distinct()
    before = set(parts.values_list("pk", "instrument_id"))
    rows = Instrument.objects.filter(pk__in={owner for _, owner in before})
    list(rows.select_for_update().order_by("pk").values_list("pk"))
    if set(parts.values_list("pk", "instrument_id")) != before:
        raise Overtaken


def side_of(*, part: Part) -> Side:
    """Read an instrument and its part, as the rules of a swap look at them."""
    instrument = Instrument.objects.select_related("order", "revision__model").get(
        pk=part.instrument_id
    )
    revision = instrument.revision
    gone = instrument.parts.filter(scrapped_at__isnull=False)
    scrapped = set(gone.values_list("pk", flat=True))
    return Side(
        serial=instrument.serial,
        part=part_now(part),
        route=released_route(revision_id=revision.pk),
        model=revision.model.name,
        revision=revision.number,
        options=instrument.order.finish,
        state=InstrumentState(instrument.state),
        closed_at=instrument.closed_at,
        steps=tuple(
            step
            for step in all_steps(instrument_id=instrument.pk).values()
            if step.part_id not in scrapped
        ),
    )


def may_be_made_anew(*, part: Part) -> bool:
    """Say whether a part may be scrapped alone, with another made in its stead."""
    side = side_of(part=part)
    is_here = side.state is InstrumentState.OPEN and side.part.scrapped_at is None
    return is_here and why_not_anew(side) is None


def at_hand(*, bench: Bench, part_id: int) -> StepNow:
    """Give the step where a part stands: its first open one, or the last it did."""
    if step := bench.current(part_id):
        return step
    steps = list(steps_of(part_id=part_id).values())
    done = [step for step in steps if step.state is not State.VOID]
    return (done or steps)[-1]


def holds_on(*, part_id: int) -> tuple[HoldTold, ...]:
    """Read all holds that were put on a part, lifted or not."""
    rows = Hold.objects.filter(part=part_id).select_related("event")
    return tuple(
        HoldTold(
            str(row.event.event_id),
            row.event_id,
            row.event.happened_at,
            row.reason,
            row.lifted_id,
        )
        for row in rows.order_by("event_id")
    )


def scrapped_since(*, event: Event) -> Refusal | None:
    """Say that the part of an event was scrapped, with another made in its stead."""
    part = (
        Part.objects.filter(pk=event.part_id or 0, scrapped_at__isnull=False)
        .select_related("instrument")
        .first()
    )
    if part is None or part.scrapped_at is None:
        return None
    now = Part.objects.in_use().get(instrument=part.instrument, branch=part.branch)
    return PART_SCRAPPED.about(
        branch_word=part.branch,
        serial=part.instrument.serial,
        scrapped_at=part.scrapped_at.isoformat(),
        code=grouped(now.code),
    )


def went_to(*, event: Event) -> WentTo | None:
    """Say where the part of an event went, if it was swapped since it was told."""
    swap = (
        Event.objects.filter(
            instrument=event.instrument_id,
            part=event.part_id,
            kind=Wish.SWAP,
            accepted=True,
            seq__gt=event.seq,
        )
        .order_by("seq")
        .first()
    )
    if swap is None:
        return None
    said = swap.data
    return WentTo(said["outgoing"]["code"], said["other"]["serial"], swap.happened_at)
