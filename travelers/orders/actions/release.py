"""How does an order become instruments, parts, tags and steps, all or nothing?"""

from collections.abc import Iterator
from datetime import datetime

from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.orders import rules
from travelers.orders.actions.making import lock_order, refuse_held
from travelers.orders.models import Instrument, Part, Step, WorkOrder
from travelers.orders.rules import Look, StepState
from travelers.routes import queries as routes
from travelers.routes.models import Operation
from travelers.routes.rules import Branch, Route
from travelers.shop.actions import take_codes, take_numbers
from travelers.shop.models import Person

# Room between the steps of a route for those that a rework puts in.
SPACING = 1000
# Of each operation: its stage, and its station where it names one.
Places = dict[int, tuple[int, int | None]]


@transaction.atomic
def release_order(*, order_id: int, by: Person, at: datetime) -> list[Instrument]:
    """Release an order whose wood is allotted.

    1. Lock the order; it must not be released, and its wood must be there.
    2. Make an instrument for each place, numbered in the model's series.
    3. Give each its parts, with tags and the allotted wood.
    4. Copy the route's operations as steps; the first of each branch is ready.
    """
    order = lock_order(order_id=order_id)
    wood = _wood_of(order)
    instruments = _make_instruments(order, at)
    route = routes.released_route(revision_id=order.revision_id)
    places = places_of(order.revision_id)
    parts = _make_parts(instruments, wood, route, places, at)
    Step.objects.bulk_create(
        (step for part in parts for step in steps_of(part, route, places, at)),
        batch_size=500,
    )
    order.released_at = at
    order.released_by = by
    order.save(update_fields=["released_at", "released_by"])
    return instruments


def places_of(revision_id: int) -> Places:
    rows = Operation.objects.filter(revision_id=revision_id)
    return {
        operation: (stage, station)
        for operation, stage, station in rows.values_list(
            "id", "stage_id", "station_id"
        )
    }


def _wood_of(order: WorkOrder) -> dict[tuple[str, int], int]:
    rows = list(order.allotments.select_related("plank_set").order_by("id"))
    refuse_held(row.plank_set for row in rows)
    wood = {(row.branch, row.position): row.plank_set_id for row in rows}
    needs = order.revision.model.wood_needs.order_by("branch")
    allotted = {
        need.branch: sum(branch == need.branch for branch, _ in wood) for need in needs
    }
    missing = rules.wood_missing(
        order=order.number, quantity=order.quantity, allotted=allotted
    )
    if missing:
        raise Refused(missing)
    return wood


def _make_instruments(order: WorkOrder, at: datetime) -> list[Instrument]:
    prefix = order.revision.model.serial_prefix
    numbers = take_numbers(series=f"serial {prefix}", count=order.quantity)
    return Instrument.objects.bulk_create(
        Instrument(
            serial=f"{prefix}{number:05}",
            order=order,
            revision_id=order.revision_id,
            position=position,
            released_at=at,
        )
        for position, number in enumerate(numbers, start=1)
    )


def _make_parts(
    instruments: list[Instrument],
    wood: dict[tuple[str, int], int],
    route: Route,
    places: Places,
    at: datetime,
) -> list[Part]:
    first = {line.branch: line for line in reversed(route.lines)}
    codes = iter(take_codes(kind="P", count=len(instruments) * len(Branch)))
    return Part.objects.bulk_create(
        Part(
            instrument=instrument,
            branch=branch,
            code=next(codes),
            plank_set_id=wood.get((branch, instrument.position)),
            **(
                {
                    "stage_id": places[first[branch].id][0],
                    "look": Look.WAITING,
                    "since": at,
                }
                if branch is not Branch.ASSEMBLY
                else {}
            ),
        )
        for instrument in instruments
        for branch in Branch
    )


def steps_of(
    part: Part, route: Route, places: Places, at: datetime | None
) -> Iterator[Step]:
    """Copy a branch's operations; the first is ready at a moment, if one is given."""
    position = 0
    for line in route.lines:
        if line.branch != part.branch:
            continue
        stage_id, station_id = places[line.id]
        for repeat in range(1, line.times + 1):
            position += SPACING
            ready = at is not None and position == SPACING and not line.after
            yield Step(
                instrument=part.instrument,
                part=part,
                operation_id=line.id,
                position=position,
                repeat=repeat,
                stage_id=stage_id,
                station_id=station_id,
                state=StepState.READY if ready else StepState.WAITING,
                ready_at=at if ready else None,
            )
