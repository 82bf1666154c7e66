"""What did a planner put first, where, and until when?"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Exists, F, OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from travelers.floor.models import Pin
from travelers.orders.models import Instrument, Part, Step
from travelers.orders.rules import OPEN_STATES, InstrumentState
from travelers.routes.rules import Branch, in_branch_order
from travelers.shop.models import Station

MOST_LISTED = 200


@dataclass(frozen=True, slots=True)
class PinRow:
    """A pin that was not lifted; ``is_over`` says that it puts nothing first any more.

    Without a branch it is of the whole instrument, without a station of all lists.
    """

    uuid: UUID
    serial: str
    branch: str
    station: str
    station_code: str
    reason: str
    until_on: date
    pinned_at: datetime
    by: str
    is_over: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """What can be put first of an instrument, and in which lists."""

    parts: tuple[tuple[str, str], ...]
    stations: tuple[tuple[str, str], ...]


def pins_standing(*, today: date, serial: str = "") -> tuple[PinRow, ...]:
    """List the pins that were not lifted, of one instrument or of all, newest first."""
    rows = _open().select_related("instrument", "part", "station", "pinned_by")
    if serial:
        rows = rows.filter(instrument__serial=serial)
    rows = rows.annotate(still=Exists(_to_do())).order_by("-pinned_at", "-id")
    return tuple(
        PinRow(
            row.uuid,
            row.instrument.serial,
            row.part.branch if row.part else "",
            row.station.name if row.station else "",
            row.station.code if row.station else "",
            row.reason,
            row.until_on,
            row.pinned_at,
            str(row.pinned_by),
            is_over=row.until_on < today or not row.still,
        )
        for row in rows[:MOST_LISTED]
    )


def pin_of_row(*, station_id: int, today: date) -> Subquery:
    """Ask with a step whether it is put first in a station's list, and by which pin."""
    here = Q(station=None) | Q(station_id=station_id)
    own = Q(part=None) | Q(part_id=OuterRef("part_id"))
    rows = _open().filter(
        here, own, instrument_id=OuterRef("instrument_id"), until_on__gte=today
    )
    return Subquery(rows.order_by("pinned_at", "id").values("pk")[:1])


def reasons_of(*, pin_ids: Collection[int]) -> Mapping[int, str]:
    """Read the reasons of pins; no query where there are none."""
    if not pin_ids:
        return {}
    return dict(Pin.objects.filter(pk__in=pin_ids).values_list("pk", "reason"))


def pin_choice(*, serial: str) -> Choice:
    """Say what of an instrument can be put first, and at which stations."""
    parts = Part.objects.filter(instrument__serial=serial).order_by("id")
    open_steps = Step.objects.filter(instrument__serial=serial, state__in=OPEN_STATES)
    wanted = Q(pk__in=open_steps.filter(station__isnull=False).values("station_id"))
    wanted |= Q(stage_id__in=open_steps.filter(station=None).values("stage_id"))
    stations = Station.objects.filter(wanted).order_by("stage__position", "code")
    return Choice(
        tuple(
            (part.code, part.branch)
            for part in in_branch_order(parts)
            if part.branch != Branch.ASSEMBLY
        ),
        tuple(stations.values_list("code", "name")),
    )


def lock_for_pin(*, serial: str) -> Instrument | None:
    """Lock an instrument, so that two who pin it at once get one pin."""
    rows = Instrument.objects.select_for_update(no_key=True)
    return rows.filter(serial=serial).first()


def is_left_at(*, instrument_id: int, part_id: int | None, station: Station) -> bool:
    """Say whether something is still to be done at a station, by whichever part."""
    steps = Step.objects.filter(
        Q(station=station) | Q(station=None, stage_id=station.stage_id),
        instrument_id=instrument_id,
        state__in=OPEN_STATES,
    )
    if part_id is not None:
        steps = steps.filter(part_id=part_id)
    return steps.exists()


def _open() -> QuerySet[Pin]:
    return Pin.objects.filter(lifted_at__isnull=True)


def _to_do() -> QuerySet[Step]:
    """Ask with a pin whether anything is left that it could put first."""
    station = Coalesce(OuterRef("station_id"), F("station_id"))
    stage = Coalesce(OuterRef("station__stage_id"), F("stage_id"))
    return Step.objects.filter(
        Q(station_id=station) | Q(station=None, stage_id=stage),
        part_id=Coalesce(OuterRef("part_id"), F("part_id")),
        instrument_id=OuterRef("instrument_id"),
        instrument__state=InstrumentState.OPEN,
        state__in=OPEN_STATES,
    )
