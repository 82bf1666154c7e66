"""What lay and lies in a load?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Count, F, Q

from travelers.floor.models import Load, Stay
from travelers.floor.rules.machine import State
from travelers.routes.rules import Branch


@dataclass(frozen=True, slots=True)
class InLoad:
    """One part in a load: since when, and until when it has to lie."""

    code: str
    serial: str
    branch: Branch
    model: str
    finish: str
    operation: str
    in_at: datetime
    out_at: datetime | None
    taken_at: datetime | None

    @property
    def lies(self) -> bool:
        return self.taken_at is None


@dataclass(frozen=True, slots=True)
class LoadNow:
    """A load with its parts, what may come out first at the head."""

    id: UUID
    station: str
    name: str
    person: str
    begun_at: datetime
    parts: tuple[InLoad, ...]

    @property
    def lying(self) -> tuple[InLoad, ...]:
        return tuple(part for part in self.parts if part.lies)


def find_load(*, load_id: UUID) -> LoadNow | None:
    load = Load.objects.filter(pk=load_id).select_related("station", "person").first()
    if load is None:
        return None
    return LoadNow(
        load.pk,
        load.station.code,
        load.station.name,
        str(load.person),
        load.begun_at,
        tuple(_parts(load_id)),
    )


def fullest_load(*, station: str) -> str:
    """Name the load of a holding station that most parts lay in so far."""
    loads = Load.objects.filter(station__code=station).annotate(lay=Count("stays"))
    return str(loads.order_by("-lay", "pk").values_list("pk", flat=True)[0])


def lock_loads(*, ids: Iterable[str]) -> list[Load]:
    """Lock loads, so that two who print the sheet of one get two copies."""
    return list(Load.objects.select_for_update().filter(pk__in=ids).order_by("pk"))


def _parts(load_id: UUID) -> list[InLoad]:
    """Read the parts of a load; without those that a decision took away."""
    rows = (
        Stay.objects.filter(load_id=load_id)
        .filter(Q(step__state=State.DWELLING) | Q(taken_out__isnull=False))
        .order_by(
            F("step__dwell_until").asc(nulls_first=True),
            "step__instrument__serial",
            "id",
        )
        .values_list(
            "step__part__code",
            "step__instrument__serial",
            "step__part__branch",
            "step__instrument__revision__model__name",
            "step__instrument__order__finish",
            "step__operation__name",
            "event__happened_at",
            "step__dwell_until",
            "taken_out__happened_at",
        )
    )
    return [
        InLoad(
            code,
            serial,
            Branch(branch),
            model=model,
            finish=finish,
            operation=operation,
            in_at=in_at,
            out_at=out_at,
            taken_at=taken_at,
        )
        for (
            code,
            serial,
            branch,
            model,
            finish,
            operation,
            in_at,
            out_at,
            taken_at,
        ) in rows
    ]
