"""What does a station's screen show of one check, at one place of the part?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from travelers.floor.queries.scenes import Scene
from travelers.floor.queries.wood import still_moves
from travelers.floor.rules.facts import Taken
from travelers.floor.rules.typed import Unclear
from travelers.lumber.rules import Movement
from travelers.routes.rules import Check, CheckKind
from travelers.shop.models import Gauge


@dataclass(frozen=True, slots=True)
class PlaceMark:
    """A string, a fret, a corner: read or not, inside or not, at hand or not."""

    number: int
    taken: Taken | None
    here: bool


@dataclass(frozen=True, slots=True)
class GaugeChoice:
    id: int
    name: str
    due_on: date
    overdue: bool
    chosen: bool
    is_bad: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """A reading between its limits, as numbers to be drawn."""

    value: float | None
    lower: float | None
    nominal: float | None
    upper: float | None


@dataclass(frozen=True, slots=True)
class CheckScene:
    """One check at one place, with its gauges and what was typed."""

    check: Check
    place: int
    marks: tuple[PlaceMark, ...]
    gauges: tuple[GaugeChoice, ...]
    typed: str = ""
    unclear: Unclear | None = None
    # What becomes of the size, where the wood is not dry yet.
    moves: Movement | None = None

    @property
    def chosen(self) -> GaugeChoice | None:
        """Give the gauge that is at hand for this check."""
        return next((gauge for gauge in self.gauges if gauge.chosen), None)

    @property
    def kind_words(self) -> str:
        return self.check.gauge_kind.replace("_", " ")

    @property
    def taken(self) -> Taken | None:
        return self.marks[self.place - 1].taken

    @property
    def gauge_id(self) -> int:
        return next((gauge.id for gauge in self.gauges if gauge.chosen), 0)

    @property
    def is_outside(self) -> bool:
        return self.taken is not None and not self.taken.inside and not self.typed

    @property
    def bar(self) -> Bar | None:
        """Give what the drawing of the limits needs; None where nothing limits.

        It points at the last reading, while nothing is typed.
        """
        ends = (self.check.lower, self.check.nominal, self.check.upper)
        if self.is_judged or not any(end is not None for end in ends):
            return None
        value = float(self.taken.value) if self.taken and not self.typed else None
        lower, nominal, upper = (None if end is None else float(end) for end in ends)
        return Bar(value, lower, nominal, upper)

    @property
    def is_judged(self) -> bool:
        return self.check.kind is CheckKind.JUDGED

    @property
    def is_counted(self) -> bool:
        return self.check.kind is CheckKind.COUNTED

    @property
    def sits_below_zero(self) -> bool:
        """Say whether a value may be negative, so that the keys need a sign."""
        ends = (self.check.lower, self.check.nominal, self.check.upper)
        return any(end is not None and end < 0 for end in ends)

    @property
    def number(self) -> int:
        return sum(mark.taken is not None for mark in self.marks)


def check_scene(
    *,
    scene: Scene,
    check_id: int,
    place: int,
    today: date,
    remembered: Mapping[str, int],
    gauge_id: int | None = None,
) -> CheckScene | None:
    """Show a check of the scene's step; None where it has no such check there."""
    found = (line.check for line in scene.checks if line.check.id == check_id)
    check = next(found, None)
    if check is None or not scene.can_check or not 1 <= place <= check.places:
        return None
    return CheckScene(
        check=check,
        place=place,
        marks=tuple(
            PlaceMark(n, scene.notes.readings.get((check.id, n)), n == place)
            for n in range(1, check.places + 1)
        ),
        gauges=_gauges(check, gauge_id or remembered.get(check.gauge_kind), today),
        moves=_moves(scene, check, place),
    )


def _moves(scene: Scene, check: Check, place: int) -> Movement | None:
    """Say what becomes of a size in wood that is not dry, if a gauge would show it."""
    taken = scene.notes.readings.get((check.id, place))
    size = taken.value if taken else check.nominal
    own = scene.part.plank_set_id
    if check.unit != "mm" or own is None or not size:
        return None
    found = still_moves(plank_set_id=own, part_id=scene.part.id, size_mm=Decimal(size))
    if found is None or found.most_mm < 10**-check.decimals:
        return None
    return found


def _gauges(check: Check, gauge_id: int | None, today: date) -> tuple[GaugeChoice, ...]:
    """List the gauges of the kind; chosen is the last used, or the only good one."""
    if not check.gauge_kind:
        return ()
    rows = list(Gauge.objects.filter(kind=check.gauge_kind).order_by("name", "id"))
    good = [row.pk for row in rows if row.due_on >= today and not row.bad_since]
    known = gauge_id in {row.pk for row in rows}
    chosen = gauge_id if known else (good[0] if len(good) == 1 else None)
    return tuple(
        GaugeChoice(
            row.pk,
            row.name,
            row.due_on,
            row.due_on < today or row.bad_since is not None,
            row.pk == chosen,
            row.bad_since is not None,
        )
        for row in rows
    )
