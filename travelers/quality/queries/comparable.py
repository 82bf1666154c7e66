"""Which instruments have a defect, which are comparable, and what did they meet?"""

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count

from travelers.floor import queries as floor
from travelers.kit.days import span_of
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import StepState
from travelers.quality.models import Defect
from travelers.quality.rules import Candidate, Factor

# By the operation by which so many of its defects were found a part is comparable.
NEARLY_ALL = 0.9
# With fewer cases no cause could be told from chance.
FEWEST_CASES = 3
# A branch of a model's route.
Way = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Question:
    """A kind of defect, found from one day to another, in one model or in all."""

    kind: str
    since: date
    until: date
    model: str = ""


@dataclass(frozen=True, slots=True)
class Met:
    """What instruments met; of each thing the places in the list of who met it."""

    instruments: tuple[int, ...]
    groups: Mapping[Candidate, Collection[int]]
    parents: Mapping[Candidate, Candidate]


@dataclass(frozen=True, slots=True)
class Comparable:
    """The defective, and until when what an instrument met is compared.

    ``seen_at`` says of each when such a defect could first have been seen on it; of all
    by the same operation, whenever it was found.
    """

    cases: frozenset[int]
    until: Mapping[int, datetime]
    seen_at: Mapping[int, datetime]


def find_comparable(*, question: Question, zone: ZoneInfo) -> Comparable:
    """Give the defective and the others that are comparable.

    Comparable is what passed the operations by which nearly all defects were found: one
    that is not yet so far was not looked at as closely, and met fewer things. All are
    compared until they first passed these; the defective until their defect at most.
    """
    start, end = span_of(question.since, question.until, zone)
    found = Defect.objects.filter(
        kind__code=question.kind,
        event__happened_at__gte=start,
        event__happened_at__lt=end,
    )
    if question.model:
        found = found.filter(step__operation__revision__model__name=question.model)
    cases: dict[int, datetime] = {}
    numbers: dict[Way, list[int]] = defaultdict(list)
    for instrument, model, branch, number, at in found.order_by(
        "-event__happened_at"
    ).values_list(
        "step__instrument_id",
        "step__operation__revision__model_id",
        "step__operation__branch",
        "step__operation__number",
        "event__happened_at",
    ):
        cases[instrument] = at
        numbers[model, branch].append(number)
    latest, earliest = _found_by(numbers, NEARLY_ALL), _found_by(numbers, 0)
    passed = _passed(latest, start, end)
    until = passed | {one: min(at, passed.get(one, at)) for one, at in cases.items()}
    seen = passed if earliest == latest else _passed(earliest, None, end)
    seen_at = {one: min(at, seen.get(one, at)) for one, at in until.items()}
    return Comparable(frozenset(cases), until, seen_at)


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


def _found_by(numbers: Mapping[Way, list[int]], share: float) -> dict[Way, int]:
    """Say of each model's branch by which operation a share of defects was found."""
    return {
        way: sorted(found)[max(0, math.ceil(share * len(found)) - 1)]
        for way, found in numbers.items()
    }


def _passed(
    found_by: Mapping[Way, int], start: datetime | None, end: datetime
) -> dict[int, datetime]:
    """Say when instruments had first passed all such operations of their model."""
    steps = Step.objects.filter(
        operation__number__in=set(found_by.values()),
        operation__revision__model__in={model for model, _ in found_by},
        state=StepState.DONE,
        finished_at__lt=end,
    ).order_by("-finished_at")
    if start:
        steps = steps.filter(finished_at__gte=start)
    first: dict[int, dict[Way, datetime]] = defaultdict(dict)
    for instrument, model, branch, number, at in steps.values_list(
        "instrument_id",
        "operation__revision__model_id",
        "operation__branch",
        "operation__number",
        "finished_at",
    ):
        if at and found_by.get((model, branch)) == number:
            first[instrument][model, branch] = at
    ways = Counter(model for model, _ in found_by)
    return {
        instrument: max(times.values())
        for instrument, times in first.items()
        if len(times) == ways[next(iter(times))[0]]
    }


def things_met(
    *,
    until: Mapping[int, datetime],
    zone: ZoneInfo,
    seen_at: Mapping[int, datetime] | None = None,
) -> Met:
    """Say what each instrument met until its moment; what came later is no cause.

    Its week is that of ``seen_at``, which must be of the same operation for all: those
    whose defect was found early would else share the weeks in which nobody got further.
    """
    week = seen_at or until
    all_of = tuple(sorted(until))
    place = {instrument: n for n, instrument in enumerate(all_of)}
    groups: dict[Candidate, set[int]] = defaultdict(set)
    parents: dict[Candidate, Candidate] = {}

    def meet(factor: Factor, met: Iterable[tuple[int, object, datetime]]) -> None:
        found: dict[object, set[int]] = defaultdict(set)
        for instrument, own, first in met:
            if first <= until[instrument]:
                found[own].add(place[instrument])
        groups.update({Candidate(factor, str(own)): who for own, who in found.items()})

    wood = Part.objects.filter(instrument_id__in=all_of, plank_set__isnull=False)
    for instrument, plank, delivery in wood.values_list(
        "instrument_id", "plank_set__plank_id", "plank_set__plank__delivery_id"
    ):
        own = Candidate(Factor.PLANK, str(plank))
        parents[own] = Candidate(Factor.DELIVERY, str(delivery))
        for one in (own, parents[own]):
            groups[one].add(place[instrument])
    meet(Factor.LOAD, floor.loads_met(instrument_ids=all_of))
    meet(Factor.STATION, floor.stations_met(instrument_ids=all_of))
    meet(Factor.GAUGE, floor.gauges_met(instrument_ids=all_of))
    meet(Factor.BATCH, floor.batches_met(instrument_ids=all_of))
    meet(Factor.CUTTER, floor.cutters_met(instrument_ids=all_of))
    revisions = Instrument.objects.filter(pk__in=all_of)
    meet(Factor.REVISION, revisions.values_list("pk", "revision_id", "released_at"))
    meet(Factor.WEEK, ((one, _monday(week[one], zone), week[one]) for one in all_of))
    return Met(all_of, dict(groups), parents)


def _monday(at: datetime, zone: ZoneInfo) -> str:
    day = at.astimezone(zone).date()
    return (day - timedelta(days=day.weekday())).isoformat()
