"""What was found on an instrument, what was decided, and what was done again?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.quality.models import Defect, Disposition
from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class Finding:
    """A defect with its decision; ``again`` names what a rework did once more."""

    found_at: datetime
    branch: Branch
    kind: str
    severity: Severity
    operation: str
    decision: Decision | None = None
    reason: str = ""
    again: tuple[str, ...] = ()
    again_until: datetime | None = None

    @property
    def is_repaired(self) -> bool:
        return self.decision is Decision.REWORK and bool(self.again)


def findings(*, instrument_id: int) -> tuple[Finding, ...]:
    """List the defects of the parts that are in an instrument, the first one first."""
    rows = list(
        Defect.objects.filter(part__instrument_id=instrument_id)
        .select_related(
            "event", "part", "kind", "step__operation", "disposition__event"
        )
        .order_by("pk")
    )
    added = {pk for row in rows for pk in _added(row)}
    steps = (
        Step.objects.filter(state=StepState.DONE)
        .select_related("operation")
        .in_bulk(added)
    )
    return tuple(_finding(row, steps) for row in rows)


def _finding(row: Defect, steps: Mapping[int, Step]) -> Finding:
    decided = _decided(row)
    done = [steps[pk] for pk in _added(row) if pk in steps]
    return Finding(
        found_at=row.event.happened_at,
        branch=Branch(row.part.branch),
        kind=row.kind.name,
        severity=Severity(row.severity),
        operation=row.step.operation.name,
        decision=Decision(decided.decision) if decided else None,
        reason=decided.reason if decided else "",
        again=tuple(step.operation.name for step in done),
        again_until=max((s.finished_at for s in done if s.finished_at), default=None),
    )


def _added(row: Defect) -> tuple[int, ...]:
    """Name the steps that the decision put into the part's way."""
    decided = _decided(row)
    if decided is None or decided.event is None:
        return ()
    return tuple(decided.event.data.get("added", ()))


def _decided(row: Defect) -> Disposition | None:
    return getattr(row, "disposition", None)
