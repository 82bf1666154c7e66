"""Which points of a chart are signals, and what was found behind them?"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from travelers.formulas.control import Rule
from travelers.quality.models import SignalAnswer
from travelers.quality.queries.charts.drawn import Drawn
from travelers.quality.queries.charts.series import Series
from travelers.quality.rules import WORDS


@dataclass(frozen=True, slots=True)
class Answer:
    cause: str
    action: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True)
class SignalRow:
    """A point that completes one pattern or more, and what was found behind it."""

    event_id: UUID
    rules: tuple[Rule, ...]
    at: datetime
    serial: str
    part_code: str
    value: float
    answer: Answer | None

    @property
    def numbers(self) -> str:
        return ",".join(rule.rpartition("_")[2] for rule in self.rules)

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(WORDS[rule] for rule in self.rules)


# A measurement may have several characteristics, each with an answer of its own.
Answers = Mapping[tuple[int, UUID], Answer]


def answers_of(*, ids: Collection[int]) -> Answers:
    """Give what was answered to signals of some characteristics."""
    return {
        (row.characteristic_id, row.event_id): Answer(
            row.cause, row.action, str(row.by), row.answered_at
        )
        for row in SignalAnswer.objects.filter(
            characteristic_id__in=ids
        ).select_related("by")
    }


def signals_of(
    *, series: Series, drawn: Drawn | None, answers: Answers
) -> list[tuple[int, SignalRow]]:
    """List the signals of a chart, each with its place, in their order."""
    if drawn is None:
        return []
    rules: dict[int, list[Rule]] = {}
    for one in drawn.signals:
        rules.setdefault(one.index, []).append(one.rule)
    found = []
    for place in sorted(rules):
        part = drawn.parts[place]
        keys = ((number, part.event_id) for number in series.ids)
        row = SignalRow(
            part.event_id,
            tuple(sorted(rules[place])),
            part.at,
            part.serial,
            part.part_code,
            drawn.chart.points[place],
            next((answers[key] for key in keys if key in answers), None),
        )
        found.append((place, row))
    return found
