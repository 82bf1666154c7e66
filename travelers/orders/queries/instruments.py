"""How far is each instrument of an order?"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Count

from travelers.kit.drawing.board_plan import Strand
from travelers.kit.drawing.marks import Look as Mark
from travelers.kit.drawing.strip import Dot
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.words import label
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.orders.rules import OPEN_STATES, InstrumentState, Look, StepState
from travelers.routes.rules import Branch, in_branch_order

ON_A_LEAF = 100
# What of an instrument is said first.
FOREMOST = (Look.HELD, Look.IN_WORK, Look.DWELLING, Look.WAITING, Look.SCRAPPED)
CLOSED = {InstrumentState.FINISHED: Mark.DONE, InstrumentState.SCRAPPED: Mark.SCRAPPED}


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """Where a part is; without a look it is not on the floor."""

    branch: Branch
    look: Mark | None
    stage: str


@dataclass(frozen=True, slots=True)
class InstrumentRow:
    serial: str
    position: int
    look: Mark
    parts: tuple[Whereabouts, ...]
    dots: tuple[Dot, ...]


def strands(*, joins_at: str = "joint") -> tuple[Strand, ...]:
    """Name the strings of the fingerboard; the assembly begins where they join."""
    return tuple(
        Strand(
            branch,
            label(branch).capitalize(),
            joins_at if branch is Branch.ASSEMBLY else "",
        )
        for branch in Branch
    )


def instruments_of(
    *, order: WorkOrder, leaf: int
) -> tuple[tuple[InstrumentRow, ...], Leaf]:
    """Read one leaf of an order's instruments, by their place in it."""
    rows, shown = cut_leaf(
        Instrument.objects.filter(order=order).order_by("position", "id"),
        number=leaf,
        size=ON_A_LEAF,
    )
    return instrument_rows(instruments=rows), shown


def instrument_rows(*, instruments: Sequence[Instrument]) -> tuple[InstrumentRow, ...]:
    """Say of each of some instruments how far it is, and where its parts are."""
    parts = _parts(instruments)
    steps = _steps(instruments)
    return tuple(_row(row, parts[row.pk], steps[row.pk]) for row in instruments)


def _parts(rows: Sequence[Instrument]) -> Mapping[int, list[Part]]:
    parts: dict[int, list[Part]] = defaultdict(list)
    for part in in_branch_order(
        Part.objects.in_use()
        .filter(instrument__in=rows)
        .select_related("stage")
        .order_by("id")
    ):
        parts[part.instrument_id].append(part)
    return parts


def _steps(rows: Sequence[Instrument]) -> Mapping[int, Counter[tuple[str, bool]]]:
    """Count each instrument's steps by branch and by whether they are done."""
    steps: dict[int, Counter[tuple[str, bool]]] = defaultdict(Counter)
    for row in (
        Step.objects.filter(
            instrument__in=rows,
            state__in=[*OPEN_STATES, "DONE"],
            part__scrapped_at__isnull=True,
        )
        .values("instrument_id", "part__branch", "state")
        .annotate(n=Count("*"))
        .order_by("instrument_id", "part__branch", "state")
    ):
        done = row["state"] == StepState.DONE
        steps[row["instrument_id"]][row["part__branch"], done] += row["n"]
    return steps


def _row(
    row: Instrument, parts: Iterable[Part], steps: Counter[tuple[str, bool]]
) -> InstrumentRow:
    parts = list(parts)
    looks = {Look(part.look) for part in parts if part.look}
    return InstrumentRow(
        row.serial,
        row.position,
        _foremost(InstrumentState(row.state), looks),
        tuple(
            Whereabouts(
                Branch(part.branch),
                Mark(part.look) if part.look else None,
                part.stage.name if part.stage else "",
            )
            for part in parts
        ),
        tuple(dot for part in parts for dot in _dots(part, steps)),
    )


def _foremost(state: InstrumentState, looks: set[Look]) -> Mark:
    if state in CLOSED:
        return CLOSED[state]
    return Mark(next((look for look in FOREMOST if look in looks), Look.WAITING))


def _dots(part: Part, steps: Counter[tuple[str, bool]]) -> list[Dot]:
    """Draw a part's way: what is done, where it is, and what is to come."""
    done, still = steps[part.branch, True], steps[part.branch, False]
    here = [Mark(part.look)] if part.look and still else []
    to_come = still - len(here)
    looks = [Mark.DONE] * done + here + [Mark.TO_COME] * to_come
    return [Dot(part.branch, look) for look in looks]
