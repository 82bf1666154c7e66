"""What have instruments with a defect in common that the comparable rest have not?"""

import math
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from travelers.formulas.association import LEVEL, Ranking, Suspect, in_common
from travelers.quality.queries.comparable import (
    FEWEST_CASES,
    Comparable,
    Question,
    find_comparable,
    kinds_to_ask,
)
from travelers.quality.queries.exposure import Met, things_met
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
    """A suspect in the ranking; of the rest each instrument is counted once."""

    names: tuple[NamedCandidate, ...]
    suspect: Suspect
    explained_by: NamedCandidate | None
    adjusted_p: float
    rest_in: int
    rest_out: int

    @property
    def odds_are_finite(self) -> bool:
        return math.isfinite(self.suspect.odds.estimate)

    @property
    def odds_are_bounded(self) -> bool:
        return math.isfinite(self.suspect.odds.high)

    @property
    def inside(self) -> int:
        return self.suspect.cases_in + self.rest_in

    @property
    def outside(self) -> int:
        return self.suspect.cases_out + self.rest_out


@dataclass(frozen=True, slots=True)
class KindChoice:
    code: str
    name: str


@dataclass(frozen=True, slots=True)
class CommonPage:
    """What was asked, and what stands out; without a ranking there are too few.

    ``alone`` counts the defective that nobody could be compared with.
    """

    question: Question | None
    kinds: tuple[KindChoice, ...]
    models: tuple[str, ...]
    cases: int
    rest: int
    candidates: int
    rows: tuple[SuspectRow, ...]
    is_ranked: bool
    searches: int = 1
    alone: int = 0

    @property
    def leading(self) -> tuple[SuspectRow, ...]:
        return tuple(
            row
            for row in self.rows
            if row.suspect.stands_out and row.explained_by is None
        )


def common_page(*, question: Question | None, zone: ZoneInfo) -> CommonPage:
    """Rank what is over-represented among the instruments with a defect.

    Each is compared with those of its model that passed the operation at which its
    defect was found. People are not compared.

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
    among = find_comparable(question=question, zone=zone)
    page = CommonPage(
        question,
        kinds,
        models,
        among.cases,
        len(among.rest),
        0,
        (),
        is_ranked=False,
        alone=among.alone,
    )
    if among.cases < FEWEST_CASES:
        return page
    met = things_met(among=among, zone=zone)
    searches = max(1, kinds_to_ask(question=question, zone=zone))
    number = {one: n for n, one in enumerate(among.flowing_in)}
    ranking = in_common(
        met.groups,
        [one.is_case for one in among.compared],
        parents=met.parents,
        strata=[number[one.stratum] for one in among.compared],
        level=LEVEL / searches,
    )
    return replace(
        page,
        candidates=len(met.groups),
        rows=_rows(ranking, searches, among, met),
        is_ranked=True,
        searches=searches,
    )


def _rows(
    ranking: Ranking, searches: int, among: Comparable, met: Met
) -> tuple[SuspectRow, ...]:
    shown = [one for one in ranking.suspects if one.cases_in][:SHOWN]
    wanted = {each for one in shown for each in one.candidates}
    names = _named({one for one in wanted if isinstance(one, Candidate)})
    rest, rows = among.rest, []
    for one in shown:
        own = next(each for each in one.candidates if isinstance(each, Candidate))
        members = (among.compared[place] for place in met.groups[own])
        inside = {each.instrument_id for each in members if not each.is_case}
        rows.append(
            SuspectRow(
                tuple(names[each] for each in one.candidates if each in names),
                one,
                names.get(one.explained_by)
                if isinstance(one.explained_by, Candidate)
                else None,
                min(1.0, searches * one.adjusted_p),
                len(inside),
                len(rest) - len(inside),
            )
        )
    return tuple(rows)


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
