"""How does an instrument come out when it is computed anew from its ledger?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from travelers.floor.models import Event
from travelers.floor.queries.benches import part_now, step_now, told_of
from travelers.floor.queries.often import STEP_COLUMNS
from travelers.floor.rules.bench import Bench, PartNow, StepNow
from travelers.floor.rules.fold import PART_MOVES, STEP_MOVES, Folded, fold
from travelers.floor.rules.machine import State
from travelers.orders.models import Instrument, Part, Step
from travelers.routes.queries import released_route


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


def all_steps(*, instrument_id: int) -> dict[int, StepNow]:
    """Read the steps of an instrument, open or not, part by part in their order."""
    rows = Step.objects.filter(instrument=instrument_id)
    ordered = rows.order_by("part_id", "position").values_list(*STEP_COLUMNS)
    return {row[0]: step_now(row) for row in ordered}


def fresh_bench(
    *, instrument: Instrument, parts: Iterable[PartNow], steps: Mapping[int, StepNow]
) -> Bench:
    """Lay the instrument on the bench as it was when it was released."""
    blank: dict[str, Any] = dict.fromkeys(STEP_MOVES)
    blank["state"] = State.WAITING
    unplaced: dict[str, Any] = dict.fromkeys(PART_MOVES)
    return Bench(
        instrument_id=instrument.pk,
        serial=instrument.serial,
        position=instrument.position,
        route=released_route(revision_id=instrument.revision_id),
        parts=tuple(replace(part, **unplaced) for part in parts),
        steps=tuple(replace(step, **blank) for step in steps.values()),
    )


def compute_anew(*, instrument_id: int) -> Anew:
    """Compute an instrument from its ledger, which is locked by whoever asks."""
    instrument = Instrument.objects.get(pk=instrument_id)
    rows = Part.objects.filter(instrument=instrument_id).order_by("id")
    parts = tuple(part_now(row) for row in rows)
    steps = all_steps(instrument_id=instrument_id)
    events = Event.objects.filter(instrument=instrument_id, accepted=True)
    folded = fold(
        fresh_bench(instrument=instrument, parts=parts, steps=steps),
        (told_of(event=event) for event in events.order_by("seq")),
        instrument.released_at,
    )
    return Anew(folded, steps, parts)
