"""How would a plank best be cut into the sets that are wanted?"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from string import ascii_uppercase

from django.db.models import Count, F, Q

from travelers.formulas.cutting import (
    CutPlan,
    First,
    Offcut,
    Part,
    Place,
    Plank,
    TooManyWays,
    plan,
)
from travelers.kit.refusals import Refused
from travelers.lumber.rules import Batch, Purpose
from travelers.orders.models import WorkOrder
from travelers.orders.queries.planks import Need, PlankPage
from travelers.orders.rules import PLAN_TOO_WIDE
from travelers.routes.models import WoodNeed

# A rest that is smaller goes with the chips. Common practice, no source.
KEPT_LENGTH_MM, KEPT_WIDTH_MM = 150, 40


@dataclass(frozen=True, slots=True)
class Saw:
    """What is sound of a plank, and what each cut and each edge takes, in mm."""

    length_mm: Decimal
    width_mm: Decimal
    kerf_mm: Decimal
    edge_trim_mm: Decimal
    end_trim_mm: Decimal


@dataclass(frozen=True, slots=True)
class Wish:
    """So many sets of a need; None is as many as the plank gives besides."""

    need: Need
    wanted: int | None


@dataclass(frozen=True, slots=True)
class PlanRow:
    """A wish and what the plan gives of it; sets are named as their tags will be.

    ``other_sets`` are what the other order of cuts would give.
    """

    need: Need
    wanted: int | None
    sets: tuple[str, ...]
    missing: int
    other_sets: int


@dataclass(frozen=True, slots=True)
class PieceLaid:
    """A piece on the plank: ``name`` is its set's and its letter."""

    name: str
    row: int
    place: Place


@dataclass(frozen=True, slots=True)
class SectionLaid:
    """A section and the pieces side by side in it.

    It lies between two first cuts, measured from the squared end or straightened edge.
    """

    number: int
    from_mm: float
    to_mm: float
    pieces: tuple[PieceLaid, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """A cut plan as somebody at the saw reads it."""

    saw: Saw
    cut: CutPlan
    rows: tuple[PlanRow, ...]
    sections: tuple[SectionLaid, ...]
    seen_sets: int

    @property
    def is_crosscut_first(self) -> bool:
        return self.cut.first is First.CROSSCUT

    @property
    def sets(self) -> int:
        return sum(self.cut.sets)

    @property
    def yield_pct(self) -> float:
        return 100 * self.cut.yield_share

    @property
    def kept(self) -> tuple[Offcut, ...]:
        return tuple(
            rest
            for rest in self.cut.offcuts
            if rest.length_mm >= KEPT_LENGTH_MM and rest.width_mm >= KEPT_WIDTH_MM
        )

    @property
    def batches(self) -> list[Batch]:
        """Say what to cut so, in the order in which the sets are named."""
        return [
            Batch(Purpose(row.need.branch), row.need.cut, len(row.sets))
            for row in self.rows
            if row.sets
        ]


def cut_plan(*, page: PlankPage, saw: Saw, wishes: tuple[Wish, ...]) -> Plan:
    """Lay out what is wished for; refused if there are too many ways to try."""
    size = page.plank.size
    plank = Plank(
        float(saw.length_mm),
        float(saw.width_mm),
        float(size.thickness_mm),
        float(saw.edge_trim_mm),
        float(saw.end_trim_mm),
    )
    try:
        cut = plan(plank, [_part(wish) for wish in wishes], float(saw.kerf_mm))
    except TooManyWays as fault:
        raise Refused(PLAN_TOO_WIDE) from fault
    rows = _rows(wishes, cut, had=len(page.sets))
    return Plan(saw, cut, rows, _sections(rows, cut), len(page.sets))


def lacking() -> Mapping[tuple[int, str], int]:
    """Say how many sets open orders still lack, by model and branch."""
    told: dict[tuple[int, str], int] = {}
    needs = dict.fromkeys(
        WoodNeed.objects.order_by("model_id", "branch").values_list(
            "model_id", "branch"
        )
    )
    for branch in {branch for _model, branch in needs}:
        rows = (
            WorkOrder.objects.filter(released_at__isnull=True)
            .annotate(has=Count("allotments", filter=Q(allotments__branch=branch)))
            .filter(has__lt=F("quantity"))
            .order_by("id")
            .values_list("revision__model_id", "quantity", "has")
        )
        for model, quantity, has in rows:
            if (model, branch) in needs:
                key = (model, branch)
                told[key] = told.get(key, 0) + quantity - has
    return told


def _part(wish: Wish) -> Part:
    cut = wish.need.cut
    return Part(
        f"{wish.need.model} {wish.need.branch}",
        cut.pieces,
        float(cut.length_mm),
        float(cut.width_mm),
        float(cut.thickness_mm),
        wish.wanted,
    )


def _rows(wishes: tuple[Wish, ...], cut: CutPlan, *, had: int) -> tuple[PlanRow, ...]:
    """Name the sets: those of one plank are numbered through, as their tags are."""
    rows = []
    given = zip(wishes, cut.sets, cut.missing, cut.other.sets, strict=True)
    for wish, sets, missing, other in given:
        names = tuple(f"{wish.need.branch[0]}{had + n}" for n in range(1, sets + 1))
        rows.append(PlanRow(wish.need, wish.wanted, names, missing, other))
        had += sets
    return tuple(rows)


def _sections(rows: tuple[PlanRow, ...], cut: CutPlan) -> tuple[SectionLaid, ...]:
    along = cut.first is First.CROSSCUT
    laid = []
    for number, section in enumerate(cut.sections, start=1):
        begin = (
            section.x_mm - cut.plank.end_trim_mm
            if along
            else section.y_mm - cut.plank.edge_trim_mm
        )
        size = section.length_mm if along else section.width_mm
        pieces = tuple(
            PieceLaid(_name(rows[place.part], place), place.part, place)
            for place in section.places
        )
        laid.append(SectionLaid(number, begin, begin + size, pieces))
    return tuple(laid)


def _name(row: PlanRow, place: Place) -> str:
    return f"{row.sets[place.set - 1]} {ascii_uppercase[place.piece - 1]}"
