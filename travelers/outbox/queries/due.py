"""What must a tablet know of its station, to go on when the network is gone?"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from travelers.floor import queries as on_floor
from travelers.floor.queries.away import Lying, lying
from travelers.floor.queries.stations import Row
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.facts import Notes, Place
from travelers.floor.rules.facts import due as checks_due
from travelers.floor.rules.materials import AtHand
from travelers.kit.drawing.zones import OUTLINES
from travelers.quality.queries import kinds_at
from travelers.routes.rules import Branch, Check, Line
from travelers.shop.models import Gauge

# So many of each list; more parts than that nobody works on in one shift.
MOST = 60
# So many steps of one part that follow each other at this station.
MOST_STEPS = 6
NOTHING = Notes()


@dataclass(frozen=True, slots=True)
class StepDue:
    """A step that can be done here, now or after those before it."""

    step: StepNow
    line: Line
    title: str
    checks: tuple[Check, ...]
    notes: Notes = NOTHING


@dataclass(frozen=True, slots=True)
class PartDue:
    """A part in a station's lists, with what can be done to it here in a row."""

    row: Row
    bench: Bench
    held: bool
    mates: tuple[tuple[str, str], ...]
    steps: tuple[StepDue, ...]

    @property
    def own_tag(self) -> str:
        """Give the instrument's own tag: that of its assembly."""
        return self.bench.part_of(Branch.ASSEMBLY).code


@dataclass(frozen=True, slots=True)
class GaugeDue:
    id: int
    name: str
    kind: str
    tag: str
    overdue: bool


@dataclass(frozen=True, slots=True)
class Due:
    """All that a station's tablet keeps for the time without network."""

    place: Place
    parts: tuple[PartDue, ...]
    gauges: tuple[GaugeDue, ...]
    # The batches that may be used here, and those that stand here.
    batches: tuple[AtHand, ...]
    chosen: tuple[AtHand, ...]
    # Of each branch: code, name, and the card that chooses it.
    kinds: dict[str, tuple[tuple[str, str, str], ...]]


def due(*, place: Place, at: datetime) -> Due:
    idle = on_floor.idle(place=place, at=at, most=MOST)
    rows = {row.step_id: row for row in (*idle.running, *idle.ready, *idle.lying)}
    found = lying(step_ids=rows)
    parts = tuple(_part(one, rows[one.step.id], place) for one in found)
    wanted = {
        check.gauge_kind
        for part in parts
        for step in part.steps
        for check in step.checks
        if check.gauge_kind
    }
    branches = {Branch(part.row.branch) for part in parts}
    used = {
        need.material_id
        for part in parts
        for step in part.steps
        for need in step.line.batches
    }
    known, chosen = _batches(place, used, at) if used else ((), ())
    return Due(
        place,
        parts,
        _gauges(wanted, at) if wanted else (),
        known,
        chosen,
        {
            branch: tuple(
                (kind.code, kind.name, kind.card)
                for kind in kinds_at(stage_id=place.stage_id, branch=branch)
            )
            for branch in sorted(branches)
        },
    )


def outline_of(branch: str) -> str:
    return OUTLINES[Branch(branch)]


def _part(one: Lying, row: Row, place: Place) -> PartDue:
    bench = one.bench
    held = bench.held_at is not None or any(
        part.held_at for part in bench.parts_in(one.step)
    )
    steps = tuple(
        StepDue(
            step,
            line,
            bench.title(step),
            checks_due(line, bench.position),
            one.notes if step.id == one.step.id else NOTHING,
        )
        for step, line in _in_a_row(bench, one.step, place)
    )
    return PartDue(row, bench, held, tuple(one.mates.items()), steps)


def _in_a_row(
    bench: Bench, first: StepNow, place: Place
) -> Iterator[tuple[StepNow, Line]]:
    """Follow a part's steps as long as they are done here and wait for no other."""
    own = [
        step
        for step in bench.steps
        if step.part_id == first.part_id and step.position >= first.position
    ]
    for step in own[:MOST_STEPS]:
        others = (o for o in bench.blocking(step) if o.part_id != step.part_id)
        if step.id != first.id and (not place.does(step) or any(others)):
            return
        yield step, bench.route.by_id[step.operation_id]


def _batches(
    place: Place, used: set[int], at: datetime
) -> tuple[tuple[AtHand, ...], tuple[AtHand, ...]]:
    """Give the newest batches of what is used here, and those that stand here."""
    stands = on_floor.batches_at(station_id=place.id, material_ids=used, at=at)
    newest = on_floor.newest_batches(material_ids=used, today=timezone.localdate(at))
    known = {one.code: one for one in (*newest, *stands.values())}
    return tuple(known.values()), tuple(stands.values())


def _gauges(kinds: set[str], at: datetime) -> tuple[GaugeDue, ...]:
    rows = Gauge.objects.filter(kind__in=kinds).order_by("name", "id")
    return tuple(
        GaugeDue(row.pk, row.name, row.kind, row.tag, row.due_on < at.date())
        for row in rows
    )
