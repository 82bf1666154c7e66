"""What have instruments with a defect in common that the comparable rest have not?"""

import math
from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from travelers.formulas.association import LEVEL, Ranking, Suspect, in_common
from travelers.quality.queries.comparable import (
    FEWEST_CASES,
    Question,
    find_comparable,
    kinds_to_ask,
    things_met,
)
from travelers.quality.queries.trace import names_of
from travelers.quality.rules import Candidate, Factor, Kind, Thing
from travelers.routes.models import DefectKind, Revision
from travelers.shop.models import Station

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
    adjusted_p: float

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
    searches: int = 1

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

    Whoever looks for causes looks at one kind of defect after another. So what stands
    out is more than chance among all kinds that could be asked in that time, not in
    this one search alone: adjusted p-values count each of them (Bonferroni).
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
    found = find_comparable(question=question, zone=zone)
    cases, passed = found.cases, found.until
    if len(cases) < FEWEST_CASES or len(passed) == len(cases):
        return CommonPage(
            question,
            kinds,
            models,
            len(cases),
            len(passed) - len(cases),
            0,
            (),
            is_ranked=False,
        )
    met = things_met(until=passed, zone=zone, seen_at=found.seen_at)
    is_case = [one in cases for one in met.instruments]
    searches = max(1, kinds_to_ask(question=question, zone=zone))
    ranking = in_common(
        met.groups, is_case, parents=met.parents, level=LEVEL / searches
    )
    return CommonPage(
        question,
        kinds,
        models,
        ranking.cases,
        ranking.rest,
        len(met.groups),
        _rows(ranking, searches),
        is_ranked=True,
        searches=searches,
    )


def _rows(ranking: Ranking, searches: int) -> tuple[SuspectRow, ...]:
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
            min(1.0, searches * one.adjusted_p),
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
