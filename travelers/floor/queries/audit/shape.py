"""Are the steps of an instrument those of its route and its reworks?"""

from collections.abc import Iterable, Iterator, Mapping

from travelers.floor.models import Event
from travelers.floor.queries.audit.difference import NOTHING, Difference, differ
from travelers.floor.rules.bench import Bench, StepNow
from travelers.routes.models import Operation
from travelers.routes.rules import Line


def compare_shape(
    bench: Bench, rows: Mapping[int, StepNow], events: Iterable[Event]
) -> Iterator[Difference]:
    """Compare which steps there are, and in which order, with route and reworks.

    1. Of each part, the route's operations come in their order, turn 0.
    2. Each rework put its steps behind the one that it was decided at, as one
       more turn.
    """
    yield from _of_no_part(bench, rows.values())
    added = _added(events)
    for part in bench.parts:
        own = [step for step in rows.values() if step.part_id == part.id]
        copied = {
            (step.operation_id, step.repeat): step.id
            for step in own
            if step.id not in added
        }
        wanted = [
            (line.id, repeat)
            for line in bench.route.lines
            if line.branch is part.branch
            for repeat in range(1, line.times + 1)
        ]
        yield from _strays(bench, copied, wanted)
        way = [(copied[key], 0) for key in wanted if key in copied]
        yield from _detours(bench.serial, part.id, way, rows, events)
        have = [(step.id, step.turn) for step in own]
        if sorted(have) != sorted(way):
            yield Difference(
                bench.serial,
                f"part {part.code}",
                "turns",
                _listed(sorted(have)),
                _listed(sorted(way)),
            )
        elif have != way:
            yield Difference(
                bench.serial,
                f"part {part.code}",
                "order of steps",
                _listed(have),
                _listed(way),
            )


def _of_no_part(bench: Bench, steps: Iterable[StepNow]) -> Iterator[Difference]:
    """Name steps that are here while their part is in another instrument."""
    parts = {part.id for part in bench.parts}
    for step in steps:
        if step.part_id not in parts:
            what = f"step {step.id}"
            yield Difference(
                bench.serial, what, "copy of the route", "a row", "no step"
            )


def _strays(
    bench: Bench,
    copied: Mapping[tuple[int, int], int],
    wanted: Iterable[tuple[int, int]],
) -> Iterator[Difference]:
    """Name steps that are not in the route, and operations without their step."""
    for operation_id, repeat in sorted(set(wanted) ^ copied.keys()):
        line = bench.route.by_id.get(operation_id)
        what = f"step {line.name if line else operation_id} {repeat}"
        is_there = (operation_id, repeat) in copied
        row, ledger = ("a row", "no step") if is_there else (NOTHING, "a step")
        yield Difference(bench.serial, what, "copy of the route", row, ledger)


def _detours(
    serial: str,
    part_id: int,
    way: list[tuple[int, int]],
    rows: Mapping[int, StepNow],
    events: Iterable[Event],
) -> Iterator[Difference]:
    """Put the steps of each rework into a part's way, and name those that are gone."""
    turn = 0
    for event in events:
        if not event.accepted or event.part_id != part_id or "added" not in event.data:
            continue
        turn += 1
        places = [step_id for step_id, _ in way]
        behind = places.index(event.step_id) + 1 if event.step_id in places else 0
        way[behind:behind] = [(step_id, turn) for step_id in event.data["added"]]
        for step_id, operation_id in zip(
            event.data["added"], event.data["operations"], strict=True
        ):
            what, step = f"step {step_id}", rows.get(step_id)
            if step is None:
                yield Difference(serial, what, "rework", NOTHING, "a step", event.seq)
            elif (step.operation_id, step.repeat) != (operation_id, 1):
                has, ought = f"{step.operation_id}/{step.repeat}", f"{operation_id}/1"
                yield Difference(serial, what, "rework", has, ought, event.seq)


def _listed(steps: Iterable[tuple[int, int]]) -> str:
    return " ".join(f"{step_id}/{turn}" for step_id, turn in steps)


def _added(events: Iterable[Event]) -> set[int]:
    return {
        step_id
        for event in events
        if event.accepted
        for step_id in event.data.get("added", ())
    }


def compare_copies(bench: Bench, rows: Mapping[int, StepNow]) -> Iterator[Difference]:
    """Compare where each step is done with its operation, which never changes."""
    places = Operation.objects.filter(revision_id=bench.route.revision_id).in_bulk()
    for step in rows.values():
        what = name_of(bench, step)
        place = places[step.operation_id]
        fields = ("stage_id", "station_id")
        yield from differ(bench.serial, what, step, place, fields, None)


def name_of(bench: Bench, step: StepNow) -> str:
    line: Line = bench.route.by_id[step.operation_id]
    return f"step {step.id} {line.branch} {line.number} {bench.title(step)}"
