"""How does a traveler's grid look: every box with what stands in it and its fault?"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Taken
from travelers.kit.refusals import Refusal
from travelers.paper.forms.reading import Read, name_of, text_of
from travelers.paper.queries import Choice, PaperLine, PaperSheet
from travelers.paper.rules.deeds import Told
from travelers.quality.rules import Severity
from travelers.routes.rules import Branch, Check, CheckKind

# What is on record is not asked again, and so not kept in its boxes; what is known by
# its own name is told by that, as the boxes move up.
BY_NAME = ("mate-", "serial-")
BOXES = {Wish.MATE: "mate", Wish.READ: "value", Wish.DEFECT: "defect"}


@dataclass(frozen=True, slots=True)
class Box:
    """One box: its name, what stands in it, what is wrong, what to choose from."""

    name: str
    text: str = ""
    fault: Refusal | None = None
    choices: tuple[Choice, ...] = ()

    @property
    def answer(self) -> str:
        """Name the box in which a question about this one is answered."""
        what, _, rest = self.name.partition("-")
        return f"{'which' if what == 'at' else 'sure'}-{rest}"


@dataclass(frozen=True, slots=True)
class DeedBoxes:
    wish: Wish
    at: Box
    by: Box


@dataclass(frozen=True, slots=True)
class PlaceBox:
    number: int
    box: Box
    taken: Taken | None


@dataclass(frozen=True, slots=True)
class CheckBoxes:
    check: Check
    places: tuple[PlaceBox, ...]

    @property
    def is_judged(self) -> bool:
        return self.check.kind is CheckKind.JUDGED


@dataclass(frozen=True, slots=True)
class DefectBoxes:
    tick: Box
    kind: Box
    severity: Box
    note: Box


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the grid, and what became of it when it was sent."""

    line: PaperLine
    deeds: tuple[DeedBoxes, ...] = ()
    checks: tuple[CheckBoxes, ...] = ()
    gauges: tuple[tuple[str, Box], ...] = ()
    mates: tuple[tuple[str, Box], ...] = ()
    batches: tuple[tuple[str, Box], ...] = ()
    serials: tuple[tuple[str, Box], ...] = ()
    station: Box | None = None
    defect: DefectBoxes | None = None
    refusal: Refusal | None = None
    passing: Box | None = None
    waits: bool = False

    @property
    def is_wrong(self) -> bool:
        return self.refusal is not None or any(box.fault for box in self.boxes())

    def boxes(self) -> Iterator[Box]:
        for deed in self.deeds:
            yield from (deed.at, deed.by)
        for check in self.checks:
            yield from (place.box for place in check.places)
        yield from (box for _, box in self.mates)
        if self.defect:
            yield self.defect.kind


@dataclass(frozen=True, slots=True)
class Rows:
    branch: Branch
    rows: tuple[Row, ...]

    @property
    def open(self) -> int:
        return sum(row.line.is_open for row in self.rows)

    @property
    def wrong(self) -> int:
        return sum(row.is_wrong for row in self.rows)


@dataclass(frozen=True, slots=True)
class Grid:
    """The whole page; ``stored`` deeds went in, the ``wrong`` lines did not."""

    sheet: PaperSheet
    sheet_id: UUID
    branches: tuple[Rows, ...]
    stored: int = 0
    is_answer: bool = False

    @property
    def wrong(self) -> int:
        return sum(part.wrong for part in self.branches)


def grid_of(
    sheet: PaperSheet,
    sheet_id: UUID,
    *,
    given: Mapping[str, str] | None = None,
    read: Read | None = None,
    told: Iterable[Told] = (),
    roles: frozenset[str] = frozenset(),
) -> Grid:
    """Lay the grid out afresh, with all that was typed and is not on record."""
    told = tuple(told)
    makes = _Rows(_not_stored(given or {}, told), read or Read(), told, roles)
    return Grid(
        sheet,
        sheet_id,
        tuple(
            Rows(part.branch, tuple(makes.row(line) for line in part.lines))
            for part in sheet.branches
        ),
        stored=sum(one.stored for one in told),
        is_answer=given is not None,
    )


def _not_stored(given: Mapping[str, str], told: Iterable[Told]) -> dict[str, str]:
    """Leave out what is on record now: values and defects, mates and numbers."""
    gone = tuple(
        f"{BOXES[one.deed.wish]}-{one.deed.step_id}-"
        for one in told
        if one.stored and one.deed.wish in BOXES and one.deed.wish is not Wish.MATE
    )
    known = {one.deed.mate_or_serial.upper() for one in told if one.stored} - {""}
    return {
        name: text
        for name, text in given.items()
        if not (gone and name.startswith(gone))
        and not (name.startswith(BY_NAME) and text.strip().upper() in known)
    }


class _Rows:
    def __init__(
        self,
        given: Mapping[str, str],
        read: Read,
        told: Iterable[Told],
        roles: frozenset[str],
    ) -> None:
        self.given, self.read, self.roles = given, read, roles
        self.refused = {one.deed.step_id: one.refusal for one in told if one.refusal}
        waiting = {one.deed.step_id for one in told if one.waits}
        self.waiting = waiting | {deed.step_id for deed in self.read.waiting}

    def row(self, line: PaperLine) -> Row:
        if not line.is_open:
            return Row(line)
        refusal = self.refused.get(line.step.id)
        row = Row(
            line,
            tuple(self._deed(line, wish) for wish in line.asked),
            tuple(self._check(line, check) for check in line.checks),
            tuple(
                (kind, self._chosen("gauge", line, kind, choices))
                for kind, choices in line.gauges.items()
            ),
            tuple(
                (words, self._box("mate", line, number))
                for number, words in enumerate(line.mates)
            ),
            tuple(
                (material, self._chosen("batch", line, number, choices))
                for number, (material, choices) in enumerate(line.batches.items())
                if choices
            ),
            tuple(
                (material, self._box("serial", line, number))
                for number, material in enumerate(line.serials)
            ),
            self._chosen("station", line, "is", line.stations)
            if line.stations
            else None,
            self._defect(line) if line.kinds and line.closing in line.asked else None,
            refusal,
            self._passing(line, refusal),
        )
        waits = line.step.id in self.waiting and not row.is_wrong
        return replace(row, waits=waits)

    def _box(self, what: str, line: PaperLine, *more: object) -> Box:
        name = name_of(what, line, *more)
        asks = self.read.asks.get(name, ())
        return Box(name, text_of(self.given, name), self.read.faults.get(name), asks)

    def _chosen(
        self, what: str, line: PaperLine, which: object, choices: tuple[Choice, ...]
    ) -> Box:
        name = name_of(what, line, which)
        usual = next((one.value for one in choices if one.usual), "")
        chosen = text_of(self.given, name) if name in self.given else usual
        return Box(name, chosen, choices=choices)

    def _deed(self, line: PaperLine, wish: Wish) -> DeedBoxes:
        return DeedBoxes(wish, self._box("at", line, wish), self._box("by", line, wish))

    def _check(self, line: PaperLine, check: Check) -> CheckBoxes:
        taken = line.notes.readings
        return CheckBoxes(
            check,
            tuple(
                PlaceBox(
                    number,
                    self._box("value", line, check.id, number),
                    taken.get((check.id, number)),
                )
                for number in range(1, check.places + 1)
            ),
        )

    def _defect(self, line: PaperLine) -> DefectBoxes:
        kind = self._box("defect", line, "kind")
        severity = self._box("defect", line, "severity")
        return DefectBoxes(
            self._box("defect", line, "is"),
            replace(kind, choices=line.kinds),
            replace(severity, text=severity.text or Severity.MAJOR),
            self._box("defect", line, "note"),
        )

    def _passing(self, line: PaperLine, refusal: Refusal | None) -> Box | None:
        if refusal is None or not self.roles & set(refusal.may_allow):
            return None
        return self._box("pass", line, refusal.code)
