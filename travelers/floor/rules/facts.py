"""What must be known to judge a wish?  Gathered once, then judged without a query."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from travelers.floor.rules import anew, reasons
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.machine import FINISHING, State, Wish
from travelers.floor.rules.materials import lacking
from travelers.formulas.codes import grouped
from travelers.kit.refusals import Refusal
from travelers.orders.rules import InstrumentState
from travelers.routes.rules import Check, Joins, Line, OperationKind


@dataclass(frozen=True, slots=True)
class Held:
    """The oldest open hold on a part or its instrument."""

    what: str
    at: datetime
    by: str
    reason: str

    def refusal(self) -> Refusal:
        return reasons.HELD.about(
            what=self.what,
            held_at=self.at.isoformat(),
            person=self.by,
            reason=self.reason,
        )


@dataclass(frozen=True, slots=True)
class Facts:
    """All that :func:`judge` may look at."""

    state: State
    kind: OperationKind
    operation: str
    roles: frozenset[str]
    person: str = ""
    serial: str = ""
    instrument_state: InstrumentState = InstrumentState.OPEN
    closed_at: datetime | None = None
    held: Held | None = None
    scrapped: Refusal | None = None
    wants_wood: bool = False
    here: bool = True
    qualified: bool = True
    place: str = ""
    station: str = ""
    waits_for: tuple[str, ...] = ()
    finished_at: datetime | None = None
    finished_by: str = ""
    ready_at: datetime | None = None
    started_at: datetime | None = None
    not_before: datetime | None = None
    not_after: datetime | None = None
    shortest_dwell: timedelta = timedelta(0)
    dwell_until: datetime | None = None
    places: int = 1
    places_free: int = 1
    checks_missing: tuple[str, ...] = ()
    checks_out: tuple[str, ...] = ()
    gauge_fault: Refusal | None = None
    wood_fault: Refusal | None = None
    mates_missing: tuple[str, ...] = ()
    mate_fault: Refusal | None = None
    batch_faults: tuple[Refusal, ...] = ()
    serials_missing: tuple[str, ...] = ()
    use_fault: Refusal | None = None
    remark_fault: Refusal | None = None
    allowed: frozenset[str] = frozenset()

    def closed(self) -> Refusal:
        return reasons.CLOSED.about(
            serial=self.serial,
            closed_at=self.closed_at.isoformat() if self.closed_at else "",
            how_word=self.instrument_state,
        )

    def already_done(self) -> Refusal:
        return reasons.ALREADY_DONE.about(
            operation=self.operation,
            finished_at=self.finished_at.isoformat() if self.finished_at else "",
            person=self.finished_by,
        )

    def not_here(self) -> Refusal:
        return reasons.NOT_HERE.about(operation=self.operation, place=self.place)

    def not_qualified(self) -> Refusal:
        return reasons.NOT_QUALIFIED.about(
            person=self.person, operation=self.operation, kind_word=self.kind
        )

    def until(self, refusal: Refusal, moment: datetime) -> Refusal:
        return refusal.about(operation=self.operation, until_at=moment.isoformat())

    def since(self, refusal: Refusal, moment: datetime) -> Refusal:
        return refusal.about(operation=self.operation, since_at=moment.isoformat())

    def no_room(self) -> Refusal:
        return reasons.NO_ROOM.about(places=str(self.places), station=self.station)


@dataclass(frozen=True, slots=True)
class Taken:
    """The last reading of a check at a place."""

    value: str
    inside: bool
    overdue: bool = False


@dataclass(frozen=True, slots=True)
class Pass:
    """An exception that was granted, or declined, and by whom; not used yet."""

    gate: str
    event_id: str
    person_id: int
    reason: str


@dataclass(frozen=True, slots=True)
class Notes:
    """What the accepted events of a step have said so far.

    ``asked`` maps each gate that somebody asked about, and nobody answered yet, to
    the event that asked.
    """

    readings: Mapping[tuple[int, int], Taken] = field(default_factory=dict)
    mates: frozenset[str] = frozenset()
    serials: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    passes: Mapping[str, Pass] = field(default_factory=dict)
    asked: Mapping[str, str] = field(default_factory=dict)
    declined: Mapping[str, Pass] = field(default_factory=dict)

    @classmethod
    def of(cls, events: Iterable[tuple[str, Mapping[str, Any], Any, int]]) -> "Notes":
        """Read (kind, data, event id, person id) of standing events in their order.

        Standing are the accepted ones that were not taken back.
        """
        readings: dict[tuple[int, int], Taken] = {}
        mates: set[str] = set()
        serials: dict[int, tuple[str, ...]] = {}
        answers = _Answers()
        for kind, data, event_id, person_id in events:
            if kind == Wish.READ:
                for row in data["readings"]:
                    place = (row["check"], row["place"])
                    readings[place] = Taken(
                        row["value"],
                        row["verdict"] == "INSIDE",
                        overdue=row.get("in_calibration") is False,
                    )
            elif kind == Wish.MATE:
                mates.add(data["mate"])
            elif kind == Wish.USE:
                for row in data["uses"]:
                    taken = serials.get(row["need"], ())
                    serials[row["need"]] = (*taken, row["serial"])
            answers.hear(kind, data, str(event_id), person_id)
        return cls(
            readings,
            frozenset(mates),
            serials,
            answers.passes,
            answers.asked,
            answers.declined,
        )

    def missing(self, line: Line, position: int) -> tuple[str, ...]:
        """Name the checks that still need a reading, with their places."""
        named = (
            (check, [n for n in range(1, check.places + 1) if self._lacks(check, n)])
            for check in due(line, position)
        )
        return tuple(_places_label(check, places) for check, places in named if places)

    def _lacks(self, check: Check, place: int) -> bool:
        return (check.id, place) not in self.readings

    def out(self, line: Line) -> tuple[str, ...]:
        return tuple(
            f"{_place_label(check, place)} {taken.value} {check.unit}".strip()
            for check in line.checks
            for place in range(1, check.places + 1)
            if (taken := self.readings.get((check.id, place))) and not taken.inside
        )


class _Answers:
    """What was asked about the gates of a step, and what was answered."""

    def __init__(self) -> None:
        self.passes: dict[str, Pass] = {}
        self.asked: dict[str, str] = {}
        self.declined: dict[str, Pass] = {}

    def hear(
        self, kind: str, data: Mapping[str, Any], event_id: str, person_id: int
    ) -> None:
        for gate in data.get("passed", ()):
            self.passes.pop(gate, None)
        if "state" in data:
            # The step went on, so that nobody waits for an answer any more.
            self.asked.clear()
            self.declined.clear()
        if kind not in (Wish.ASK, Wish.ALLOW, Wish.DECLINE):
            return
        gate = data["gate"]
        self.asked.pop(gate, None)
        self.declined.pop(gate, None)
        if kind == Wish.ASK:
            self.asked[gate] = event_id
        else:
            told = self.passes if kind == Wish.ALLOW else self.declined
            told[gate] = Pass(gate, event_id, person_id, data["reason"])


def needs_notes(wish: Wish, line: Line) -> bool:
    """Say whether a judgement looks at what was scanned, beside what was let pass."""
    asks = line.checks or line.serials or line.joins is not Joins.NOTHING
    return wish in FINISHING and bool(asks)


def due(line: Line, position: int) -> tuple[Check, ...]:
    """List the checks that the instrument at ``position`` of its order needs."""
    return tuple(check for check in line.checks if check.is_due_for(position))


def _place_label(check: Check, place: int) -> str:
    return _places_label(check, [place])


def _places_label(check: Check, places: Sequence[int]) -> str:
    """Name a check and some of its places, neighbours as a range: fret 1–4, 7."""
    if check.places == 1:
        return check.name
    runs: list[list[int]] = []
    for place in places:
        if runs and place == runs[-1][-1] + 1:
            runs[-1].append(place)
        else:
            runs.append([place])
    told = ", ".join(f"{r[0]}–{r[-1]}" if len(r) > 1 else str(r[0]) for r in runs)
    return f"{check.name} ({f'{check.place_name} {told}'.strip()})"


def facts_of(  # noqa: PLR0913 - all that a judgement may look at
    bench: Bench,
    step: StepNow,
    notes: Notes,
    *,
    station: "Place | None",
    person: str,
    roles: frozenset[str],
    held: Held | None,
    mates: Mapping[str, str],
    qualified: bool,
    **known: Any,
) -> Facts:
    """Gather the facts of one step; ``mates`` maps needed codes to their words."""
    line = bench.route.by_id[step.operation_id]
    return Facts(
        state=State(step.state),
        kind=line.kind,
        operation=bench.title(step),
        roles=roles,
        person=person,
        serial=bench.serial,
        instrument_state=bench.state,
        closed_at=bench.closed_at,
        held=held,
        scrapped=scrapped(bench, step.part_id),
        wants_wood=any(p.wants_wood for p in bench.parts if p.id == step.part_id),
        here=station is not None and station.does(step),
        qualified=qualified,
        place=step.place,
        station=station.name if station else "",
        waits_for=bench.open_before(step),
        finished_at=step.finished_at,
        ready_at=step.ready_at,
        started_at=step.started_at,
        not_before=_not_before(line, step),
        not_after=_not_after(line, step),
        shortest_dwell=line.shortest_dwell,
        dwell_until=step.dwell_until,
        places=station.places if station else 1,
        places_free=station.places_free if station else 0,
        checks_missing=notes.missing(line, bench.position),
        checks_out=notes.out(line),
        mates_missing=_missing_mates(line, notes, mates),
        serials_missing=_missing_serials(line, notes),
        allowed=frozenset(notes.passes),
        **known,
    )


def why_closed(bench: Bench, part_id: int) -> Refusal:
    """Say why nothing is open of a part: its instrument left the floor, or it did."""
    gone = scrapped(bench, part_id)
    if gone and bench.state is InstrumentState.OPEN:
        return gone
    return reasons.CLOSED.about(
        serial=bench.serial,
        closed_at=bench.closed_at.isoformat() if bench.closed_at else "",
        how_word=bench.state,
    )


def scrapped(bench: Bench, part_id: int) -> Refusal | None:
    """Say that a part was scrapped, and which one is made instead."""
    # What was told of a part before a swap took it elsewhere is of none that is here.
    part = next((part for part in bench.parts if part.id == part_id), None)
    if part is None or part.scrapped_at is None:
        return None
    return anew.PART_SCRAPPED.about(
        branch_word=str(part.branch),
        serial=bench.serial,
        scrapped_at=part.scrapped_at.isoformat(),
        code=grouped(bench.part_of(part.branch).code),
    )


@dataclass(frozen=True, slots=True)
class Place:
    """The station where somebody stands.

    ``limit_pct`` is the moisture below which wood must come where it is a room for it.
    """

    id: int
    code: str
    name: str
    stage_id: int
    stage: str
    attended: bool
    places: int
    places_free: int
    limit_pct: Decimal | None = None

    def does(self, step: StepNow) -> bool:
        if step.station_id is not None:
            return step.station_id == self.id
        return step.stage_id == self.stage_id


def _missing_mates(
    line: Line, notes: Notes, mates: Mapping[str, str]
) -> tuple[str, ...]:
    if line.joins is Joins.NOTHING:
        return ()
    return tuple(words for code, words in mates.items() if code not in notes.mates)


def _missing_serials(line: Line, notes: Notes) -> tuple[str, ...]:
    return tuple(
        need.material
        if need.pieces == 1
        else f"{need.material} {need.pieces - left + 1}/{need.pieces}"
        for need in line.serials
        if (left := lacking(need, notes.serials.get(need.id, ())))
    )


def _not_before(line: Line, step: StepNow) -> datetime | None:
    if step.repeat == 1 or line.shortest_between is None or step.ready_at is None:
        return None
    return step.ready_at + line.shortest_between


def _not_after(line: Line, step: StepNow) -> datetime | None:
    gap = line.longest_gap if step.repeat == 1 else line.longest_between
    if gap is None or step.ready_at is None:
        return None
    return step.ready_at + gap
