"""How many parts are where on the floor?"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Min
from django.urls import reverse

from travelers.kit.drawing.fingerboard import Cell, Fret, Strand
from travelers.kit.drawing.marks import ON_FLOOR
from travelers.kit.drawing.marks import Look as Mark
from travelers.lumber.queries import Climate
from travelers.orders.models import Part
from travelers.orders.queries import strands
from travelers.orders.rules import Look
from travelers.planning.queries.rooms import damp_rooms
from travelers.routes.queries import ways
from travelers.routes.rules import Branch
from travelers.shop.models import Stage


@dataclass(frozen=True, slots=True)
class CellRow:
    """One branch at one stage, as the table under the board says it."""

    branch: Branch
    stage: str
    stage_code: str
    counts: tuple[int, ...]
    total: int
    oldest: timedelta | None


@dataclass(frozen=True, slots=True)
class StageRow:
    """All branches at one stage, as it is read from across the room."""

    stage: str
    counts: tuple[int, ...]
    oldest: timedelta | None


@dataclass(frozen=True, slots=True)
class BoardPage:
    """The floor at one moment; ``seen`` names it for who asks whether it still is."""

    seen: str
    at: datetime
    frets: tuple[Fret, ...]
    strands: tuple[Strand, ...]
    cells: tuple[Cell, ...]
    rows: tuple[CellRow, ...]
    totals: tuple[tuple[Mark, int], ...]
    total: int
    damp: tuple[Climate, ...]

    @property
    def looks(self) -> tuple[Mark, ...]:
        return ON_FLOOR

    @property
    def stages(self) -> tuple[StageRow, ...]:
        """Give the same numbers by stage alone, in the order of the stages."""
        return tuple(
            _of_stage(
                fret.name, [row for row in self.rows if row.stage_code == fret.code]
            )
            for fret in self.frets
        )


def _of_stage(name: str, rows: Sequence[CellRow]) -> StageRow:
    counts = zip(*(row.counts for row in rows), strict=True)
    oldest = [row.oldest for row in rows if row.oldest is not None]
    return StageRow(
        name, tuple(map(sum, counts)) or (0,) * len(ON_FLOOR), max(oldest, default=None)
    )


@dataclass(frozen=True, slots=True)
class _Pile:
    """What lies on one branch at one stage."""

    counts: Mapping[Look, int]
    oldest: datetime | None


def board(*, seen: str, at: datetime) -> BoardPage:
    """Draw up the floor.  ``seen`` was felt before, so that nothing is missed."""
    stages = list(Stage.objects.order_by("position"))
    passed = ways()
    piles = _piles()
    places = [
        (stage, branch)
        for branch in Branch
        for stage in stages
        if (branch, stage.code) in passed or (stage.pk, branch) in piles
    ]
    empty = _Pile({}, None)
    filled = [
        (stage, branch, piles.get((stage.pk, branch), empty))
        for stage, branch in places
    ]
    totals = Counter[Look]()
    for pile in piles.values():
        totals.update(pile.counts)
    return BoardPage(
        seen,
        at,
        tuple(Fret(stage.code, stage.name) for stage in stages),
        strands(joins_at=_joint(stages, passed)),
        tuple(_cell(stage, branch, pile) for stage, branch, pile in filled),
        tuple(_row(stage, branch, pile, at) for stage, branch, pile in filled),
        tuple((look, totals[Look(look)]) for look in ON_FLOOR),
        totals.total(),
        damp_rooms(at=at),
    )


def _piles() -> dict[tuple[int, Branch], _Pile]:
    """Count the parts on the floor: one query over the index of the open ones."""
    counts: dict[tuple[int, Branch], Counter[Look]] = defaultdict(Counter)
    oldest: dict[tuple[int, Branch], datetime] = {}
    rows = (
        Part.objects.filter(stage__isnull=False)
        .values("stage_id", "branch", "look")
        .annotate(n=Count("*"), oldest=Min("since"))
        .order_by("stage_id", "branch", "look")
    )
    for row in rows:
        at = (row["stage_id"], Branch(row["branch"]))
        counts[at][Look(row["look"])] = row["n"]
        oldest[at] = min(oldest.get(at, row["oldest"]), row["oldest"])
    return {at: _Pile(counts[at], oldest[at]) for at in counts}


def _joint(stages: list[Stage], passed: frozenset[tuple[Branch, str]]) -> str:
    """Name the stage where the branches join: the first that assemblies pass."""
    codes = [stage.code for stage in stages]
    joints = [code for code in codes if (Branch.ASSEMBLY, code) in passed]
    return (joints or codes[-1:] or [""])[0]


def _cell(stage: Stage, branch: Branch, pile: _Pile) -> Cell:
    return Cell(
        branch,
        stage.code,
        {Mark(look): n for look, n in pile.counts.items()},
        reverse("planning:cell", args=[stage.code, branch]),
    )


def _row(stage: Stage, branch: Branch, pile: _Pile, at: datetime) -> CellRow:
    return CellRow(
        branch,
        stage.name,
        stage.code,
        tuple(pile.counts.get(Look(look), 0) for look in ON_FLOOR),
        sum(pile.counts.values()),
        at - pile.oldest if pile.oldest else None,
    )
