"""How does an instrument come out when it is computed anew from its ledger?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import Q

from travelers.floor.models import Event
from travelers.floor.queries.benches import part_now, step_now, told_of
from travelers.floor.queries.often import STEP_COLUMNS
from travelers.floor.rules.bench import (
    PART_MOVES,
    STEP_MOVES,
    Bench,
    PartNow,
    StepNow,
)
from travelers.floor.rules.fold import NOBODY, Folded, Told, fold
from travelers.floor.rules.machine import State, Wish
from travelers.floor.rules.swap import OutOfTurn, Visitor, released_with
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.queries import released_route

BLANK: Mapping[str, Any] = {**dict.fromkeys(STEP_MOVES), "state": State.WAITING}
UNPLACED: Mapping[str, Any] = {**dict.fromkeys(PART_MOVES), "wants_wood": False}


@dataclass(frozen=True, slots=True)
class Anew:
    """The rows of an instrument, and what its ledger makes of them."""

    folded: Folded
    steps: Mapping[int, StepNow]
    parts: tuple[PartNow, ...]

    @property
    def steps_that_differ(self) -> tuple[StepNow, ...]:
        bench = self.folded.bench
        ought = {**{step.id: step for step in bench.steps}, **self.folded.closed}
        return tuple(
            ought[key] for key, step in self.steps.items() if ought[key] != step
        )

    @property
    def parts_that_differ(self) -> tuple[PartNow, ...]:
        pairs = zip(self.parts, self.folded.bench.parts, strict=True)
        return tuple(ought for part, ought in pairs if part != ought)


@dataclass(frozen=True, slots=True)
class Fresh:
    """An instrument as it was released, and the parts that swaps brought in since."""

    bench: Bench
    visitors: Mapping[int, Visitor]

    def fold(self, events: Iterable[Told], instrument: Instrument) -> Folded:
        return fold(self.bench, events, instrument.released_at, self.visitors)


def all_steps(*, instrument_id: int) -> dict[int, StepNow]:
    """Read the steps of an instrument, open or not, part by part in their order."""
    return _steps(Q(instrument=instrument_id))


def steps_of(*, part_id: int) -> dict[int, StepNow]:
    """Read the steps of a part, open or not, in their order."""
    return _steps(Q(part=part_id))


def all_steps_told_of(*, instrument_id: int) -> dict[int, StepNow]:
    """Read these, and those of parts that a swap took to another instrument."""
    told = Event.objects.filter(instrument=instrument_id).values("part")
    return _steps(Q(instrument=instrument_id) | Q(part__in=told))


def _steps(which: Q) -> dict[int, StepNow]:
    rows = Step.objects.filter(which).order_by("part_id", "position")
    return {row[0]: step_now(row) for row in rows.values_list(*STEP_COLUMNS)}


def fresh_bench(
    *, instrument: Instrument, parts: Iterable[PartNow], steps: Mapping[int, StepNow]
) -> Bench:
    """Lay the instrument on the bench as it was when it was released."""
    return Bench(
        instrument_id=instrument.pk,
        serial=instrument.serial,
        position=instrument.position,
        route=released_route(revision_id=instrument.revision_id),
        parts=tuple(replace(part, **UNPLACED) for part in parts),
        steps=tuple(replace(step, **BLANK) for step in steps.values()),
    )


def lay_fresh(
    *,
    instrument: Instrument,
    parts: Iterable[PartNow],
    steps: Mapping[int, StepNow],
    told: Iterable[Told],
) -> Fresh:
    """Lay it with the parts that it was released with, and the others beside it.

    ``parts`` and ``steps`` are those that it has now, ``told`` its accepted events.

    Raises
    ------
    OutOfTurn
        The parts of now are not those that its swaps leave here, or these name parts
        and steps that there are not.
    """
    swaps = [event.data for event in told if event.kind is Wish.SWAP]
    if not swaps:
        bench = fresh_bench(instrument=instrument, parts=parts, steps=steps)
        return Fresh(bench, NOBODY)
    here = {part.id: part for part in parts}
    first = released_with(here, swaps)
    came = {swap["incoming"]["part"] for swap in swaps}
    gone = {swap["outgoing"]["part"] for swap in swaps}
    away = (came | gone) - here.keys()
    rows = Part.objects.filter(pk__in=away)
    known = {**here, **{row.pk: part_now(row) for row in rows}}
    ways = {**steps, **_steps(Q(part__in=away))}
    ordered = sorted(ways.values(), key=lambda step: (step.part_id, step.position))
    if not (came | gone) <= known.keys():
        raise OutOfTurn(*(came | gone) - known.keys())
    bench = fresh_bench(
        instrument=instrument,
        parts=[known[part_id] for part_id in sorted(first)],
        steps={step.id: step for step in ordered if step.part_id in first},
    )
    visitors = {part_id: _visitor(known[part_id], ordered) for part_id in came}
    for swap in swaps:
        steps_told = {row["id"] for row in swap["incoming"]["steps"]}
        if not steps_told <= visitors[swap["incoming"]["part"]].steps.keys():
            raise OutOfTurn(swap["incoming"]["part"])
    return Fresh(bench, visitors)


def _visitor(part: PartNow, ways: Iterable[StepNow]) -> Visitor:
    own = [replace(step, **BLANK) for step in ways if step.part_id == part.id]
    return Visitor(replace(part, **UNPLACED), {step.id: step for step in own})


def compute_anew(*, instrument_id: int) -> Anew:
    """Compute an instrument from its ledger, which is locked by whoever asks."""
    instrument = Instrument.objects.get(pk=instrument_id)
    rows = Part.objects.filter(instrument=instrument_id).order_by("id")
    parts = tuple(part_now(row) for row in rows)
    steps = all_steps(instrument_id=instrument_id)
    events = Event.objects.filter(instrument=instrument_id, accepted=True)
    told = [told_of(event=event) for event in events.order_by("seq")]
    fresh = lay_fresh(instrument=instrument, parts=parts, steps=steps, told=told)
    return Anew(fresh.fold(told, instrument), steps, parts)
