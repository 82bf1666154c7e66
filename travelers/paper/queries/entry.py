"""Which lines of a traveler can be typed in, and what of them is on record?"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from travelers.floor import queries as on_floor
from travelers.floor.queries.histories import EventRow
from travelers.floor.queries.instruments import BranchRow, InstrumentPage, StepRow
from travelers.floor.rules import Bench, Notes, State, StepNow, Wish
from travelers.floor.rules.facts import due
from travelers.floor.rules.materials import lacking
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.paper.rules.deeds import closing, still_asked
from travelers.routes.models import DefectKind
from travelers.routes.rules import Branch, Check, Line
from travelers.shop.models import Gauge, Person, Station

NOTHING_NOTED = Notes()
NOTED = (State.RUNNING, State.DWELLING)


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several to choose from; ``usual`` is chosen where nobody chose."""

    value: str
    name: str
    usual: bool = False


@dataclass(frozen=True, slots=True)
class PaperLine:
    """A step's line: what is on record of it, and what can still be typed in.

    ``batches`` are those to choose from, by their materials; ``serials`` names the
    material of each piece whose number is still asked for.
    """

    step: StepRow
    branch: Branch
    order: int
    stored: tuple[EventRow, ...]
    asked: tuple[Wish, ...] = ()
    closing: Wish | None = None
    checks: tuple[Check, ...] = ()
    notes: Notes = NOTHING_NOTED
    mates: tuple[str, ...] = ()
    batches: Mapping[str, tuple[Choice, ...]] = field(default_factory=dict)
    serials: tuple[str, ...] = ()
    station: str = ""
    stations: tuple[Choice, ...] = ()
    gauges: Mapping[str, tuple[Choice, ...]] = field(default_factory=dict)
    kinds: tuple[Choice, ...] = ()

    @property
    def is_open(self) -> bool:
        return bool(self.asked)

    @property
    def last_at(self) -> datetime | None:
        """Say when the last that is on record of it was."""
        return max((row.happened_at for row in self.stored), default=None)


@dataclass(frozen=True, slots=True)
class PaperBranch:
    branch: Branch
    lines: tuple[PaperLine, ...]


@dataclass(frozen=True, slots=True)
class PaperSheet:
    """One instrument's traveler as it can be typed in; ``people`` by their initials."""

    page: InstrumentPage
    branches: tuple[PaperBranch, ...]
    people: Mapping[str, Person]

    @property
    def serial(self) -> str:
        return self.page.serial

    @property
    def any_open(self) -> bool:
        return any(line.is_open for part in self.branches for line in part.lines)


def paper_sheet(*, serial: str, today: date) -> PaperSheet:
    """Lay an instrument's lines out in route order, branch by branch."""
    page = on_floor.instrument_page(serial=serial)
    found = on_floor.find_bench(code=page.code) if page else None
    if page is None or found is None:
        raise Refused(NOT_FOUND)
    bench = on_floor.bench_of(found=found)
    told: dict[int, list[EventRow]] = defaultdict(list)
    for row in reversed(page.events):
        # A swap is told of the whole part, and stands on no line.
        if row.accepted and row.step_id and row.kind is not Wish.SWAP:
            told[row.step_id].append(row)
    makes = _Lines(bench, told, today)
    return PaperSheet(page, tuple(map(makes.branch, page.branches)), _people())


def _people() -> dict[str, Person]:
    rows = Person.objects.exclude(initials=None).order_by("initials")
    return {str(row.initials).upper(): row for row in rows}


class _Lines:
    """Makes the lines; what many share is read once."""

    def __init__(
        self, bench: Bench, told: Mapping[int, list[EventRow]], today: date
    ) -> None:
        self.bench, self.told = bench, told
        lines = [bench.route.by_id[step.operation_id] for step in bench.steps]
        self.gauges = _gauges(lines, today)
        self.kinds = _kinds()
        self.batches = _batches(lines, today)
        stations = list(Station.objects.order_by("code"))
        self.codes = {station.pk: station.code for station in stations}
        self.stations = _by_stage(stations)

    def branch(self, row: BranchRow) -> PaperBranch:
        own = [step for step in row.steps if step.state is not State.VOID]
        made = (self._line(row.branch, n, step) for n, step in enumerate(own))
        return PaperBranch(row.branch, tuple(made))

    def _line(self, branch: Branch, order: int, row: StepRow) -> PaperLine:
        stored = tuple(self.told.get(row.id, ()))
        now = self.bench.step(row.id)
        if now is None or self.bench.closed_at:
            return PaperLine(row, branch, order, stored)
        line = self.bench.route.by_id[now.operation_id]
        begun = now.state in NOTED
        asked = still_asked(line, now.state)
        ends = closing(line) in asked
        notes = on_floor.notes_of(step_id=now.id) if begun else NOTHING_NOTED
        checks = due(line, self.bench.position) if ends else ()
        return PaperLine(
            row,
            branch,
            order,
            stored,
            asked,
            closing(line),
            checks,
            notes,
            self._mates(now, notes) if ends else (),
            {need.material: self.batches[need.material_id] for need in line.batches},
            _serials(line, notes) if ends else (),
            self.codes.get(now.station_id or 0, ""),
            () if now.station_id else self.stations.get(now.stage_id, ()),
            {
                check.gauge_kind: self.gauges.get(check.gauge_kind, ())
                for check in checks
                if check.gauge_kind
            },
            self.kinds.get((now.stage_id, branch), ()),
        )

    def _mates(self, now: StepNow, notes: Notes) -> tuple[str, ...]:
        mates = on_floor.mates_of(bench=self.bench, step=now)
        return tuple(words for code, words in mates.items() if code not in notes.mates)


def _serials(line: Line, notes: Notes) -> tuple[str, ...]:
    """Name the material of each number that is still to be noted, piece by piece."""
    return tuple(
        need.material
        for need in line.serials
        for _ in range(lacking(need, notes.serials.get(need.id, ())))
    )


def _batches(lines: list[Line], today: date) -> dict[int, tuple[Choice, ...]]:
    """List the batches of each material that may still be there, the newest first."""
    wanted = {need.material_id for line in lines for need in line.batches}
    found: dict[int, list[Choice]] = {material: [] for material in wanted}
    if wanted:
        for one in on_floor.newest_batches(material_ids=wanted, today=today):
            found[one.material_id].append(Choice(one.code, one.number))
    return {material: tuple(some) for material, some in found.items()}


def _gauges(lines: list[Line], today: date) -> dict[str, tuple[Choice, ...]]:
    """List the gauges of each kind; the usual one is the only good one."""
    wanted = {check.gauge_kind for line in lines for check in line.checks}
    rows: dict[str, list[Gauge]] = defaultdict(list)
    for gauge in Gauge.objects.filter(kind__in=wanted - {""}).order_by("name"):
        rows[gauge.kind].append(gauge)
    chosen = {}
    for kind, some in rows.items():
        good = [
            gauge.pk for gauge in some if gauge.due_on >= today and not gauge.bad_since
        ]
        chosen[kind] = tuple(
            Choice(str(gauge.pk), gauge.name, good == [gauge.pk]) for gauge in some
        )
    return chosen


def _kinds() -> dict[tuple[int, Branch], tuple[Choice, ...]]:
    """List the kinds of defects by the stage and branch where they are found."""
    found: dict[tuple[int, Branch], list[Choice]] = defaultdict(list)
    kinds = DefectKind.objects.prefetch_related("stages", "branches").order_by("name")
    for kind in kinds:
        for stage in kind.stages.all():
            for part in kind.branches.all():
                known = found[stage.pk, Branch(part.branch)]
                known.append(Choice(kind.code, kind.name))
    return {where: tuple(some) for where, some in found.items()}


def _by_stage(stations: list[Station]) -> dict[int, tuple[Choice, ...]]:
    rows: dict[int, list[Station]] = defaultdict(list)
    for station in stations:
        rows[station.stage_id].append(station)
    return {
        stage: tuple(Choice(one.code, one.name, len(some) == 1) for one in some)
        for stage, some in rows.items()
    }
