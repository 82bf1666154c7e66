"""What passed each stage at the first time?"""

from dataclasses import dataclass
from itertools import groupby

from travelers.floor import queries as on_floor
from travelers.formulas.association import first_pass_yield, rolled_yield
from travelers.planning.queries.flow.asked import Asked


@dataclass(frozen=True, slots=True)
class StageYield:
    stage: str
    code: str
    entered: int
    failed: int

    @property
    def first_pass_pct(self) -> float:
        return 100 * first_pass_yield(self.entered - self.failed, self.entered)


@dataclass(frozen=True, slots=True)
class ModelYield:
    """What share of a model's parts passed each stage without a defect."""

    model: str
    stages: tuple[StageYield, ...]

    @property
    def rolled_pct(self) -> float:
        return 100 * rolled_yield([one.first_pass_pct / 100 for one in self.stages])


def yields(*, asked: Asked) -> tuple[ModelYield, ...]:
    """Say of each model what passed each stage in the days that are looked at."""
    rows = on_floor.passed(since=asked.since, until=asked.until)
    return tuple(
        ModelYield(
            model,
            tuple(
                StageYield(one.stage, one.stage_code, len(one.entered), len(one.failed))
                for one in some
            ),
        )
        for model, some in groupby(rows, key=lambda one: one.model)
    )
