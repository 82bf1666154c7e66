"""What will be to do for an order that is not released yet?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from travelers.orders.rules import StepState
from travelers.planning.queries.forecast.open_steps import (
    Built,
    Row,
    chunks_of,
    most_places,
)
from travelers.routes import queries as routes
from travelers.routes.models import Operation
from travelers.routes.rules import Branch
from travelers.shop.models import Station


@dataclass(frozen=True, slots=True)
class ToCome:
    """An order that is not on the floor; one that is only asked for has the id 0."""

    number: str
    id: int
    model_id: int
    revision_id: int
    quantity: int
    due_on: date
    priority: int

    @property
    def names(self) -> tuple[str, ...]:
        """Name its instruments, which have no serial numbers yet."""
        return tuple(f"{self.number}/{place + 1}" for place in range(self.quantity))


def to_build(*, orders: Iterable[ToCome]) -> tuple[Built, ...]:
    """Write down the instruments of some orders as if they were released."""
    stations = {one.pk: one for one in Station.objects.order_by("code")}
    found: list[Built] = []
    for order in orders:
        places = _places(order.revision_id, stations)
        chunks = chunks_of(
            _rows(order, places),
            routes.released_route(revision_id=order.revision_id),
        )
        found += [
            Built(
                0,
                name,
                order.number,
                order.id,
                order.model_id,
                order.priority,
                order.due_on,
                chunks,
                {},
            )
            for name in order.names
        ]
    return tuple(found)


def _places(revision_id: int, stations: Mapping[int, Station]) -> Mapping[int, Station]:
    """Say for each operation at which station it is taken to be done."""
    anywhere = most_places(stations.values())
    rows = Operation.objects.filter(revision_id=revision_id).values_list(
        "id", "stage_id", "station_id"
    )
    return {
        operation: stations[station] if station else anywhere[stage]
        for operation, stage, station in rows.order_by("id")
    }


def _rows(order: ToCome, places: Mapping[int, Station]) -> Iterable[Row]:
    """Give the steps that a release would make; none of them has a number yet."""
    for line in routes.released_route(revision_id=order.revision_id).lines:
        for repeat in range(1, line.times + 1):
            yield Row(
                id=0,
                part_id=-1 - list(Branch).index(line.branch),
                line=line,
                repeat=repeat,
                state=StepState.WAITING,
                station=places[line.id],
                ready_at=None,
                started_at=None,
                dwell_until=None,
            )
