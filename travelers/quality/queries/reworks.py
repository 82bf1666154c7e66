"""What was put into a part's way again, is it through, and was it looked at?"""

from dataclasses import dataclass
from datetime import datetime

from travelers.orders.models import Step
from travelers.orders.rules import OPEN_STATES, InstrumentState, StepState
from travelers.quality.models import Disposition, Verification
from travelers.quality.rules import Decision
from travelers.routes.rules import Branch

# So many reworks that wait for a look are shown.
SHOWN = 100


@dataclass(frozen=True, slots=True)
class Again:
    """An operation that is done once more."""

    name: str
    state: StepState


@dataclass(frozen=True, slots=True)
class Rework:
    """What a decision sent a part through again; ``turn`` tells it from others."""

    disposition_id: int
    defect_id: int
    serial: str
    branch: Branch
    code: str
    kind: str
    operation: str
    reason: str
    by: str
    decided_at: datetime
    turn: int
    again: tuple[Again, ...]
    verified_by: str = ""
    verified_at: datetime | None = None
    note: str = ""

    @property
    def left(self) -> int:
        return sum(one.state in OPEN_STATES for one in self.again)

    @property
    def is_through(self) -> bool:
        """Say whether all was done again, or dropped for another rework."""
        return self.left == 0

    @property
    def waits(self) -> bool:
        return self.is_through and self.verified_at is None


def find_rework(*, defect_id: int) -> Rework | None:
    """Give the rework of a defect, if that was decided of it."""
    return next(iter(_reworks(defect_id=defect_id)), None)


def reworks_to_verify() -> tuple[Rework, ...]:
    """List what was put right and nobody has looked at yet, the oldest first."""
    open_ones = _reworks(
        verification=None, defect__part__instrument__state=InstrumentState.OPEN
    )
    return tuple(rework for rework in open_ones if rework.waits)[:SHOWN]


def _reworks(**asked: object) -> list[Rework]:
    rows = list(
        Disposition.objects.filter(decision=Decision.REWORK, **asked)
        .select_related(
            "event",
            "by",
            "verification__by",
            "defect__kind",
            "defect__step__operation",
            "defect__part__instrument",
        )
        .order_by("pk")
    )
    added = {row.pk: _added(row) for row in rows}
    wanted = {pk for own in added.values() for pk in own}
    steps = Step.objects.select_related("operation").in_bulk(wanted)
    return [_rework(row, [steps[pk] for pk in added[row.pk]]) for row in rows]


def _added(row: Disposition) -> tuple[int, ...]:
    return tuple(row.event.data.get("added", ())) if row.event else ()


def _rework(row: Disposition, steps: list[Step]) -> Rework:
    seen: Verification | None = getattr(row, "verification", None)
    defect = row.defect
    return Rework(
        disposition_id=row.pk,
        defect_id=defect.pk,
        serial=defect.part.instrument.serial,
        branch=Branch(defect.part.branch),
        code=defect.part.code,
        kind=defect.kind.name,
        operation=defect.step.operation.name,
        reason=row.reason,
        by=str(row.by),
        decided_at=row.decided_at,
        turn=max((step.turn for step in steps), default=0),
        again=tuple(
            Again(step.operation.name, StepState(step.state)) for step in steps
        ),
        verified_by=str(seen.by) if seen else "",
        verified_at=seen.verified_at if seen else None,
        note=seen.note if seen else "",
    )
