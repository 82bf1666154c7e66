"""What is still to be done on the floor, step by step?"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from travelers.floor import queries as on_floor
from travelers.kit.fields import written
from travelers.orders.models import Instrument, Step
from travelers.orders.rules import InstrumentState, StepState
from travelers.routes import queries as routes
from travelers.routes.rules import Branch, Line, Route
from travelers.shop.models import Station


@dataclass(frozen=True, slots=True)
class Row:
    """A step of an open instrument, done or not, with what the route says of it."""

    id: int
    part_id: int
    line: Line
    repeat: int
    state: StepState
    station: Station
    ready_at: datetime | None
    started_at: datetime | None
    dwell_until: datetime | None

    @property
    def is_done(self) -> bool:
        return self.state is StepState.DONE

    @property
    def is_begun(self) -> bool:
        return self.state in (StepState.DONE, StepState.RUNNING, StepState.DWELLING)


@dataclass(frozen=True, slots=True)
class Chunk:
    """A stretch of a part's steps that waits for nothing but at its beginning.

    ``joins`` are the stretches that it waits for.
    """

    branch: Branch
    number: int
    rows: tuple[Row, ...]
    joins: tuple["tuple[Branch, int]", ...]

    @property
    def key(self) -> tuple[Branch, int]:
        return self.branch, self.number

    @property
    def done(self) -> int:
        return sum(row.is_done for row in self.rows)

    @property
    def is_done(self) -> bool:
        return self.done == len(self.rows)

    @property
    def current(self) -> Row:
        return next(row for row in self.rows if not row.is_done)


@dataclass(frozen=True, slots=True)
class Built:
    """An open instrument with what is to be done; ``held`` names its held parts."""

    id: int
    serial: str
    order: str
    order_id: int
    model_id: int
    priority: int
    due_on: date
    chunks: tuple[Chunk, ...]
    held: Mapping[int, datetime]


def built(*, stations: Mapping[int, Station]) -> tuple[Built, ...]:
    """Read the open instruments, with their steps cut where they are joined."""
    open_ones = list(
        Instrument.objects.filter(state=written(InstrumentState.OPEN))
        .select_related("order", "revision")
        .order_by("id")
    )
    ids = [one.pk for one in open_ones]
    rows, holds = _rows(ids, stations), _holds(ids)
    found = []
    for one in open_ones:
        route = routes.released_route(revision_id=one.revision_id)
        own = rows[one.pk]
        chunks = chunks_of(own, route)
        if all(chunk.is_done for chunk in chunks):
            continue
        found.append(
            Built(
                one.pk,
                one.serial,
                one.order.number,
                one.order_id,
                one.revision.model_id,
                one.order.priority,
                one.order.due_on,
                chunks,
                _held(own, holds.get(one.pk, ())),
            )
        )
    return tuple(found)


def _rows(ids: list[int], stations: Mapping[int, Station]) -> Mapping[int, list[Row]]:
    anywhere = most_places(stations.values())
    own = Step.objects.filter(
        instrument_id__in=ids, part__scrapped_at__isnull=True
    ).order_by()
    # A part that came from another instrument may be of an older route.
    revisions = own.values_list("operation__revision_id", flat=True).distinct()
    lines = {
        line.id: line
        for revision in revisions
        for line in routes.released_route(revision_id=revision).lines
    }
    steps = own.exclude(state=StepState.VOID).order_by(
        "instrument_id", "part_id", "position"
    )
    found: dict[int, list[Row]] = defaultdict(list)
    for instrument, operation, stage, wanted, at, *told in steps.values_list(
        "instrument_id",
        "operation_id",
        "stage_id",
        "station_id",
        "at_station_id",
        "pk",
        "part_id",
        "repeat",
        "state",
        "ready_at",
        "started_at",
        "dwell_until",
    ):
        pk, part, repeat, state, *moments = told
        place = at or wanted
        station = stations[place] if place else anywhere[stage]
        row = Row(
            pk, part, lines[operation], repeat, StepState(state), station, *moments
        )
        found[instrument].append(row)
    return found


def most_places(stations: Iterable[Station]) -> Mapping[int, Station]:
    """Name the station with the most places of each stage."""
    found: dict[int, Station] = {}
    for station in stations:
        best = found.setdefault(station.stage_id, station)
        if station.places > best.places:
            found[station.stage_id] = station
    return found


def chunks_of(rows: Iterable[Row], route: Route) -> tuple[Chunk, ...]:
    """Cut each branch before what waits for another and after what is waited for.

    A rework that goes back over a cut stays in the stretch in which it was decided.
    """
    cuts = _cuts(route)
    by_part: dict[int, list[Row]] = defaultdict(list)
    for row in rows:
        by_part[row.part_id].append(row)
    ordered = list(route.lines)
    found: list[Chunk] = []
    for own in by_part.values():
        branch = own[0].line.branch
        stretches: dict[int, list[Row]] = defaultdict(list)
        here = 0
        for row in own:
            here = max(here, sum(cut <= row.line.number for cut in cuts[branch]))
            stretches[here].append(row)
        numbers = sorted(stretches)
        for place, number in enumerate(numbers):
            mates = [(branch, numbers[place - 1])] if place else []
            for line in ordered:
                if line.branch is branch and _stretch(cuts, line) == number:
                    mates += [_key(cuts, route, before) for before in line.after]
            kept = tuple(
                dict.fromkeys(mate for mate in mates if mate != (branch, number))
            )
            found.append(Chunk(branch, number, tuple(stretches[number]), kept))
    return tuple(found)


def _cuts(route: Route) -> Mapping[Branch, list[int]]:
    """Give the operation numbers at which a new stretch of each branch begins."""
    found: dict[Branch, set[int]] = defaultdict(set)
    for line in route.lines:
        if line.after:
            found[line.branch].add(line.number)
        for before in line.after:
            wanted = route.by_id[before]
            found[wanted.branch].add(wanted.number + 1)
    return {branch: sorted(found[branch]) for branch in Branch}


def _stretch(cuts: Mapping[Branch, list[int]], line: Line) -> int:
    return sum(cut <= line.number for cut in cuts[line.branch])


def _key(
    cuts: Mapping[Branch, list[int]], route: Route, before: int
) -> tuple[Branch, int]:
    line = route.by_id[before]
    return line.branch, _stretch(cuts, line)


def _holds(ids: list[int]) -> Mapping[int, list[tuple[int | None, datetime]]]:
    found: dict[int, list[tuple[int | None, datetime]]] = defaultdict(list)
    for instrument, part, since in on_floor.held_since(instrument_ids=ids):
        found[instrument].append((part, since))
    return found


def _held(
    rows: Iterable[Row], holds: Iterable[tuple[int | None, datetime]]
) -> Mapping[int, datetime]:
    """Say since when each part is held, by itself or with its instrument."""
    parts = {row.part_id for row in rows}
    found: dict[int, datetime] = {}
    for part, since in holds:
        for one in parts if part is None else {part} & parts:
            found[one] = min(since, found.get(one, since))
    return found
