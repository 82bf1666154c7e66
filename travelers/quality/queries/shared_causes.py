"""What have instruments with a defect in common that the comparable rest have not?"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from travelers.floor import queries as floor
from travelers.formulas.association import Ranking, Suspect, in_common
from travelers.orders.models import Instrument, Part
from travelers.quality.queries.comparable import Question, find_comparable
from travelers.quality.queries.trace import names_of
from travelers.quality.rules import Candidate, Factor, Kind, Thing
from travelers.routes.models import DefectKind, Revision
from travelers.shop.models import Station

# With fewer cases no cause could be told from chance.
FEWEST_CASES = 3
SHOWN = 25
TRACED = {
    Factor.PLANK: Kind.PLANK,
    Factor.DELIVERY: Kind.DELIVERY,
    Factor.LOAD: Kind.LOAD,
    Factor.GAUGE: Kind.GAUGE,
    Factor.BATCH: Kind.BATCH,
    Factor.CUTTER: Kind.CUTTER,
}


@dataclass(frozen=True, slots=True)
class NamedCandidate:
    """A candidate as people call it; with a key where it can be traced."""

    factor: Factor
    name: str
    of: str = ""
    day: date | datetime | None = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class SuspectRow:
    names: tuple[NamedCandidate, ...]
    suspect: Suspect
    explained_by: NamedCandidate | None

    @property
    def odds_are_finite(self) -> bool:
        return math.isfinite(self.suspect.odds.estimate)

    @property
    def odds_are_bounded(self) -> bool:
        return math.isfinite(self.suspect.odds.high)

    @property
    def inside(self) -> int:
        return self.suspect.cases_in + self.suspect.rest_in

    @property
    def outside(self) -> int:
        return self.suspect.cases_out + self.suspect.rest_out


@dataclass(frozen=True, slots=True)
class KindChoice:
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class CommonPage:
    """What was asked, and what stands out; without a ranking there are too few."""

    question: Question | None
    kinds: tuple[KindChoice, ...]
    models: tuple[str, ...]
    cases: int
    rest: int
    candidates: int
    rows: tuple[SuspectRow, ...]
    is_ranked: bool

    @property
    def leading(self) -> tuple[SuspectRow, ...]:
        return tuple(
            row
            for row in self.rows
            if row.suspect.stands_out and row.explained_by is None
        )


def common_page(*, question: Question | None, zone: ZoneInfo) -> CommonPage:
    """Rank what is over-represented among the instruments with a defect.

    Comparable is what is of the same models and passed the same operations in the same
    time without that defect. People are not compared.
    """
    kinds = tuple(
        KindChoice(code, name)
        for code, name in DefectKind.objects.filter(defects__isnull=False)
        .distinct()
        .order_by("name")
        .values_list("code", "name")
    )
    models = tuple(
        Revision.objects.order_by("model__name")
        .values_list("model__name", flat=True)
        .distinct()
    )
    if question is None:
        return CommonPage(None, kinds, models, 0, 0, 0, (), is_ranked=False)
    cases, passed = find_comparable(question=question, zone=zone)
    all_of = sorted({*cases, *passed})
    if len(cases) < FEWEST_CASES or len(all_of) == len(cases):
        return CommonPage(
            question,
            kinds,
            models,
            len(cases),
            len(all_of) - len(cases),
            0,
            (),
            is_ranked=False,
        )
    groups, parents = _candidates(all_of, passed, zone)
    ranking = in_common(groups, [one in cases for one in all_of], parents=parents)
    return CommonPage(
        question,
        kinds,
        models,
        ranking.cases,
        ranking.rest,
        len(groups),
        _rows(ranking),
        is_ranked=True,
    )


def _candidates(
    all_of: list[int], passed: Mapping[int, datetime], zone: ZoneInfo
) -> tuple[dict[Candidate, set[int]], dict[Candidate, Candidate]]:
    """Say which instruments met each candidate, by their places in the list."""
    place = {instrument: n for n, instrument in enumerate(all_of)}
    groups: dict[Candidate, set[int]] = defaultdict(set)
    parents: dict[Candidate, Candidate] = {}

    def meet(factor: Factor, met: Iterable[tuple[int, object, datetime]]) -> None:
        for instrument, own, first in met:
            # What came after a defect was found is no cause of it.
            if first <= passed[instrument]:
                groups[Candidate(factor, str(own))].add(place[instrument])

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
    meet(
        Factor.WEEK, ((one, _monday(passed[one], zone), passed[one]) for one in all_of)
    )
    return dict(groups), parents


def _monday(at: datetime, zone: ZoneInfo) -> str:
    day = at.astimezone(zone).date()
    return (day - timedelta(days=day.weekday())).isoformat()


def _rows(ranking: Ranking) -> tuple[SuspectRow, ...]:
    shown = [one for one in ranking.suspects if one.cases_in][:SHOWN]
    wanted = {each for one in shown for each in one.candidates}
    names = _named({one for one in wanted if isinstance(one, Candidate)})
    return tuple(
        SuspectRow(
            tuple(names[each] for each in one.candidates if each in names),
            one,
            names.get(one.explained_by)
            if isinstance(one.explained_by, Candidate)
            else None,
        )
        for one in shown
    )


def _named(wanted: set[Candidate]) -> dict[Candidate, NamedCandidate]:
    found: dict[Candidate, NamedCandidate] = {}
    things = {
        one: Thing(TRACED[one.factor], one.id) for one in wanted if one.factor in TRACED
    }
    names = names_of(things=things.values())
    for one, thing in things.items():
        named = names[thing]
        found[one] = NamedCandidate(
            one.factor, named.name, named.of, named.day, named.key
        )
    ids = defaultdict(list)
    for one in wanted:
        ids[one.factor].append(one.id)
    for pk, name in Station.objects.filter(pk__in=ids[Factor.STATION]).values_list(
        "pk", "name"
    ):
        own = Candidate(Factor.STATION, str(pk))
        found[own] = NamedCandidate(Factor.STATION, name)
    for pk, number, model in Revision.objects.filter(
        pk__in=ids[Factor.REVISION]
    ).values_list("pk", "number", "model__name"):
        own = Candidate(Factor.REVISION, str(pk))
        found[own] = NamedCandidate(Factor.REVISION, number, model)
    for monday in ids[Factor.WEEK]:
        own = Candidate(Factor.WEEK, monday)
        found[own] = NamedCandidate(Factor.WEEK, "", "", date.fromisoformat(monday))
    return found
