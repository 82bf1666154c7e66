"""How much work waits at each station?"""

from collections import Counter
from dataclasses import dataclass

from django.db.models import BooleanField, Count, ExpressionWrapper, Q

from travelers.kit.fields import written
from travelers.kit.people import has_one_of
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.shop.models import Person, Stage, Station
from travelers.shop.rules import Role

ACTIVE = tuple(
    written(state) for state in (StepState.READY, StepState.RUNNING, StepState.DWELLING)
)
IS_HELD = Q(part__held_at__isnull=False) | Q(instrument__held_at__isnull=False)
# Who prints the cards that hang at the stations.
CARD_KEEPERS = (Role.LEAD, Role.PLANNER, Role.QA, Role.ROUTE_ENGINEER)


@dataclass(frozen=True, slots=True)
class StationRow:
    """A station, what could begin there, what is in work and what lies there."""

    code: str
    name: str
    attended: bool
    places: int
    ready: int
    running: int
    lying: int

    @property
    def free(self) -> int:
        return max(0, self.places - self.lying)


@dataclass(frozen=True, slots=True)
class StageRow:
    name: str
    stations: tuple[StationRow, ...]


@dataclass(frozen=True, slots=True)
class StationList:
    stages: tuple[StageRow, ...]
    may_print: bool

    @property
    def ready(self) -> int:
        return sum(one.ready for stage in self.stages for one in stage.stations)


def stations(*, by: Person) -> StationList:
    """List the stations by stage, with what waits there and is not held."""
    waiting, here = _counts()
    rows: dict[int, list[StationRow]] = {}
    for one in Station.objects.order_by("code"):
        rows.setdefault(one.stage_id, []).append(
            StationRow(
                one.code,
                one.name,
                one.attended,
                one.places,
                waiting[one.pk, one.stage_id] + waiting[None, one.stage_id],
                here[one.pk, StepState.RUNNING],
                here[one.pk, StepState.DWELLING],
            )
        )
    return StationList(
        tuple(
            StageRow(stage.name, tuple(rows[stage.pk]))
            for stage in Stage.objects.order_by("position")
            if stage.pk in rows
        ),
        has_one_of(by, CARD_KEEPERS),
    )


def _counts() -> tuple[Counter[tuple[int | None, int]], Counter[tuple[int, str]]]:
    """Count what could begin, by station and stage, and what is at each station.

    No station stands for any of the stage.  The three states are those of the
    index of active steps, and stage and state stand first in it: so the count
    reads that index alone and not the steps of all years.
    """
    rows = (
        Step.objects.filter(state__in=ACTIVE)
        .values(
            "stage_id",
            "state",
            "station_id",
            "at_station_id",
            held=ExpressionWrapper(IS_HELD, output_field=BooleanField()),
        )
        .annotate(n=Count("*"))
        .order_by("stage_id", "state")
    )
    waiting: Counter[tuple[int | None, int]] = Counter()
    here: Counter[tuple[int, str]] = Counter()
    for row in rows:
        if row["state"] != StepState.READY:
            here[row["at_station_id"], row["state"]] += row["n"]
        elif not row["held"]:
            waiting[row["station_id"], row["stage_id"]] += row["n"]
    return waiting, here
