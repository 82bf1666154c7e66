"""Where does one instrument stand, what is it made of, and what was done to it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Count

from travelers.floor.models import Event
from travelers.floor.queries import histories
from travelers.floor.queries.benches import about
from travelers.floor.queries.histories import (
    DefectRow,
    EventRow,
    HoldRow,
    Paper,
    ReadingRow,
    SwapRow,
    Telling,
)
from travelers.floor.rules.bench import About
from travelers.floor.rules.machine import FINISHING, State
from travelers.kit.drawing.marks import Look
from travelers.kit.drawing.strip import Dot
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import InstrumentState
from travelers.routes.rules import Branch, in_branch_order

LOOKS = {
    State.WAITING: Look.TO_COME,
    State.READY: Look.WAITING,
    State.RUNNING: Look.IN_WORK,
    State.DWELLING: Look.DWELLING,
    State.DONE: Look.DONE,
    State.VOID: Look.VOID,
}


@dataclass(frozen=True, slots=True)
class StepRow:
    id: int
    number: int
    operation: str
    state: State
    look: Look
    place: str
    started_at: datetime | None
    finished_at: datetime | None
    dwell_until: datetime | None
    by: str
    station: str
    turn: int
    typed_in_by: str = ""


@dataclass(frozen=True, slots=True)
class BranchRow:
    """One part with its steps and its wood."""

    id: int
    branch: Branch
    code: str
    stage: str
    look: Look | None
    since: datetime | None
    held: bool
    plank_set: str
    steps: tuple[StepRow, ...]
    scrapped_at: datetime | None = None
    wants_wood: bool = False

    @property
    def now(self) -> StepRow | None:
        """Give the step at hand: the first that is neither done nor dropped."""
        past = (State.DONE, State.VOID)
        return next((step for step in self.steps if step.state not in past), None)

    @property
    def done(self) -> int:
        return sum(step.state is State.DONE for step in self.steps)

    @property
    def count(self) -> int:
        return sum(step.state is not State.VOID for step in self.steps)


@dataclass(frozen=True, slots=True)
class WoodRow:
    branch: Branch
    number: str
    code: str
    pieces: int
    plank: str
    plank_code: str
    species: str
    latin: str
    delivery: str
    supplier: str
    received_on: date
    trade_papers: str
    scrapped_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class InstrumentPage:
    """All that an instrument's page shows."""

    serial: str
    about: About
    revision: str
    state: InstrumentState
    released_at: datetime
    closed_at: datetime | None
    branches: tuple[BranchRow, ...]
    wood: tuple[WoodRow, ...]
    dots: tuple[Dot, ...]
    holds: tuple[HoldRow, ...]
    readings: tuple[ReadingRow, ...]
    defects: tuple[DefectRow, ...]
    events: tuple[EventRow, ...]
    swaps: tuple[SwapRow, ...] = ()
    paper: Paper | None = None

    @property
    def code(self) -> str:
        """Give the instrument's own tag: that of its assembly."""
        return next(row.code for row in self.branches if row.branch == Branch.ASSEMBLY)

    @property
    def readings_outside(self) -> int:
        return sum(
            row.verdict != "INSIDE" and row.undone is None for row in self.readings
        )

    @property
    def open_holds(self) -> tuple[HoldRow, ...]:
        return tuple(hold for hold in self.holds if hold.lifted_at is None)


def instrument_page(*, serial: str) -> InstrumentPage | None:
    instrument = (
        Instrument.objects.filter(serial=serial)
        .select_related("order", "revision__model")
        .first()
    )
    if instrument is None:
        return None
    steps = _steps(instrument)
    parts = _parts(instrument)
    here = {part.pk for part in parts}
    events = histories.events_of(instrument_id=instrument.pk, part_ids=here)
    titles = _titles(steps, events)
    telling = Telling.of(instrument.pk, events, titles)
    undone = telling.undone
    standing = [event for event in events if event.pk not in undone]
    branches = _branches(parts, steps, titles, standing, bool(instrument.held_at))
    return InstrumentPage(
        serial=instrument.serial,
        about=about(instrument),
        revision=instrument.revision.number,
        state=InstrumentState(instrument.state),
        released_at=instrument.released_at,
        closed_at=instrument.closed_at,
        branches=branches,
        wood=tuple(_wood(part) for part in parts if part.plank_set_id),
        dots=_dots(branches),
        holds=histories.holds_of(instrument_id=instrument.pk),
        readings=histories.readings_of(
            instrument_id=instrument.pk, events=events, undone=undone
        ),
        defects=histories.defects_of(e for e in events if e.part_id in here),
        events=tuple(histories.event_row(event, telling) for event in reversed(events)),
        swaps=histories.swaps_of(
            event for event in events if event.instrument_id == instrument.pk
        ),
        paper=Paper(instrument.serial, instrument.order.number, instrument.position),
    )


def _titles(steps: list[Step], events: list[Event]) -> dict[int, str]:
    """Name the steps, and those of parts that a swap took elsewhere."""
    titles = {step.pk: _title(step) for step in steps}
    if gone := {event.step_id for event in events if event.step_id} - titles.keys():
        rows = Step.objects.filter(pk__in=gone).select_related("operation")
        titles |= {step.pk: _title(step) for step in rows}
    return titles


def _parts(instrument: Instrument) -> list[Part]:
    return in_branch_order(
        Part.objects.filter(instrument=instrument)
        .select_related(
            "stage",
            "plank_set__plank__delivery__species",
            "plank_set__plank__delivery__supplier",
        )
        .annotate(pieces=Count("plank_set__pieces"))
        .order_by("id")
    )


def _steps(instrument: Instrument) -> list[Step]:
    return list(
        Step.objects.filter(instrument=instrument)
        .select_related("operation", "stage", "station")
        .order_by("part_id", "position")
    )


def _title(step: Step) -> str:
    line = step.operation
    return f"{line.name} {step.repeat}/{line.times}" if line.times > 1 else line.name


def _branches(
    parts: list[Part],
    steps: list[Step],
    titles: Mapping[int, str],
    events: list[Event],
    held: bool,
) -> tuple[BranchRow, ...]:
    ended = {
        event.step_id: event
        for event in events
        if event.accepted and event.kind in FINISHING
    }
    return tuple(
        BranchRow(
            id=part.pk,
            branch=Branch(part.branch),
            code=part.code,
            stage=part.stage.name if part.stage else "",
            look=Look(part.look) if part.look else None,
            since=part.since,
            held=held or part.held_at is not None,
            plank_set=part.plank_set.number if part.plank_set else "",
            steps=tuple(
                _step_row(step, titles[step.pk], ended.get(step.pk))
                for step in steps
                if step.part_id == part.pk
            ),
            scrapped_at=part.scrapped_at,
            wants_wood=part.wants_wood,
        )
        for part in parts
    )


def _step_row(step: Step, title: str, ended: Event | None) -> StepRow:
    return StepRow(
        id=step.pk,
        number=step.operation.number,
        operation=title,
        state=State(step.state),
        look=LOOKS[State(step.state)],
        place=step.station.name if step.station else step.stage.name,
        started_at=step.started_at,
        finished_at=step.finished_at,
        dwell_until=step.dwell_until,
        by=str(ended.person) if ended else "",
        station=ended.station.name if ended and ended.station else "",
        turn=step.turn,
        typed_in_by=histories.typed_in_by(ended) if ended else "",
    )


def _dots(branches: tuple[BranchRow, ...]) -> tuple[Dot, ...]:
    """Lay out the strip: each step a mark, held ones as the bar."""
    return tuple(
        Dot(row.branch, _seen(row, step), step.operation)
        for row in branches
        if row.scrapped_at is None
        for step in row.steps
    )


def _seen(row: BranchRow, step: StepRow) -> Look:
    return Look.HELD if row.held and step is row.now and row.look else step.look


def _wood(part: Part) -> WoodRow:
    plank_set = part.plank_set
    assert plank_set is not None  # noqa: S101 - asked for by the caller
    plank = plank_set.plank
    delivery = plank.delivery
    return WoodRow(
        branch=Branch(part.branch),
        number=plank_set.number,
        code=plank_set.code,
        pieces=part.pieces,  # type: ignore[attr-defined]
        plank=plank.number,
        plank_code=plank.code,
        species=delivery.species.name,
        latin=delivery.species.latin,
        delivery=delivery.number,
        supplier=delivery.supplier.name,
        received_on=delivery.received_on,
        trade_papers=delivery.trade_papers,
        scrapped_at=part.scrapped_at,
    )
