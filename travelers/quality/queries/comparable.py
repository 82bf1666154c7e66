"""Which instruments have a defect, and with which others can each be compared?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo

from django.db.models import Count, Min

from travelers.kit.days import span_of
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.quality.models import Defect
from travelers.routes.models import Operation
from travelers.routes.rules import Joins

# With fewer cases no cause could be told from chance.
FEWEST_CASES = 3


class Stratum(NamedTuple):
    """An operation of a model; whoever passed it is alike."""

    model_id: int
    branch: str
    number: int


@dataclass(frozen=True, slots=True)
class Question:
    """A kind of defect, found from one day to another, in one model or in all."""

    kind: str
    since: date
    until: date
    model: str = ""


@dataclass(frozen=True, slots=True)
class Compared:
    """A part at an operation: where its defect was found, or where it had none.

    What it met until then is compared, and what was joined into it.
    """

    instrument_id: int
    part_id: int
    stratum: Stratum
    is_case: bool
    until: datetime


@dataclass(frozen=True, slots=True)
class Comparable:
    """Who is compared; ``alone`` counts the defective without anybody to compare."""

    compared: tuple[Compared, ...]
    flowing_in: Mapping[Stratum, frozenset[str]]
    alone: int

    @property
    def cases(self) -> int:
        return sum(one.is_case for one in self.compared)

    @property
    def rest(self) -> frozenset[int]:
        """Give the instruments without the defect, each once."""
        return frozenset(one.instrument_id for one in self.compared if not one.is_case)


def find_comparable(*, question: Question, zone: ZoneInfo) -> Comparable:
    """Give the defective, and with whom each is compared.

    That is whoever of its model passed, in the same time and without that defect, the
    operation at which its own was found: what has not come so far was not looked at as
    closely, and what came further met more. All are compared by what they had met
    when they first passed it; the defective by what they met before their defect.
    """
    start, end = span_of(question.since, question.until, zone)
    found = Defect.objects.filter(
        kind__code=question.kind,
        event__happened_at__gte=start,
        event__happened_at__lt=end,
    )
    if question.model:
        found = found.filter(step__operation__revision__model__name=question.model)
    cases: dict[int, tuple[int, Stratum, datetime]] = {}
    for instrument, part, model, branch, number, at in found.order_by(
        "-event__happened_at"
    ).values_list(
        "step__instrument_id",
        "step__part_id",
        "step__operation__revision__model_id",
        "step__operation__branch",
        "step__operation__number",
        "event__happened_at",
    ):
        cases[instrument] = part, Stratum(model, branch, number), at
    strata = {stratum for _, stratum, _ in cases.values()}
    passed = _passed(strata, start, end)
    rest = [
        Compared(instrument, part, stratum, is_case=False, until=at)
        for (part, stratum), (instrument, at) in passed.items()
        if instrument not in cases
    ]
    with_rest = {one.stratum for one in rest}
    defective = [
        Compared(
            instrument,
            part,
            stratum,
            is_case=True,
            until=min(at, passed.get((part, stratum), (0, at))[1]),
        )
        for instrument, (part, stratum, at) in cases.items()
        if stratum in with_rest
    ]
    alone = len(cases) - len(defective)
    return Comparable((*defective, *rest), _flowing_in(strata), alone)


def kinds_to_ask(*, question: Question, zone: ZoneInfo) -> int:
    """Count the kinds of defect of which the same could be asked in the same time."""
    start, end = span_of(question.since, question.until, zone)
    found = Defect.objects.filter(
        event__happened_at__gte=start, event__happened_at__lt=end
    )
    if question.model:
        found = found.filter(step__operation__revision__model__name=question.model)
    kinds = found.order_by("kind").values("kind")
    instruments = kinds.annotate(n=Count("step__instrument", distinct=True))
    return instruments.filter(n__gte=FEWEST_CASES).count()


def _passed(
    strata: Collection[Stratum], start: datetime, end: datetime
) -> dict[tuple[int, Stratum], tuple[int, datetime]]:
    """Say of each part when it had first passed each of the operations."""
    rows = Step.objects.filter(
        operation__revision__model__in={one.model_id for one in strata},
        operation__branch__in={one.branch for one in strata},
        operation__number__in={one.number for one in strata},
        state=StepState.DONE,
        finished_at__gte=start,
        finished_at__lt=end,
    )
    grouped = rows.order_by().values_list(
        "instrument_id",
        "part_id",
        "operation__revision__model_id",
        "operation__branch",
        "operation__number",
    )
    found = {}
    for instrument, part, *where, at in grouped.annotate(first=Min("finished_at")):
        if (stratum := Stratum(*where)) in strata:
            found[part, stratum] = instrument, at
    return found


def _flowing_in(strata: Iterable[Stratum]) -> dict[Stratum, frozenset[str]]:
    """Say which branches had been joined in when a part passed an operation."""
    joins: dict[tuple[int, str], list[tuple[int, str]]] = defaultdict(list)
    rows = Operation.objects.filter(
        revision__model__in={one.model_id for one in strata}, joins=Joins.BRANCHES
    )
    for model, branch, number, joined in rows.values_list(
        "revision__model_id", "branch", "number", "waits_for__before__branch"
    ):
        if joined and joined != branch:
            joins[model, branch].append((number, joined))

    def into(model: int, branch: str, number: float) -> set[str]:
        own = {joined for at, joined in joins[model, branch] if at <= number}
        return own.union(*(into(model, one, float("inf")) for one in own))

    return {one: frozenset(into(*one)) for one in strata}
