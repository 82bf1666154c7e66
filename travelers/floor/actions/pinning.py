"""How does a planner put something first, and let it stand in its turn again?"""

from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db import transaction
from django.utils import timezone

from travelers.floor import queries
from travelers.floor.models import Pin
from travelers.floor.rules import pins, reasons
from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.orders.models import Instrument, Part
from travelers.orders.rules import InstrumentState
from travelers.shop.models import Person, Station
from travelers.shop.rules import Role


@dataclass(frozen=True, slots=True)
class Target:
    """What shall stand first: without a part all of it, without a station anywhere."""

    serial: str
    part: str = ""
    station: str = ""


@transaction.atomic
def pin(
    *,
    uuid: UUID,
    target: Target,
    reason: str,
    until_on: date,
    by: Person,
    at: datetime,
) -> None:
    """Put something first; a repeat of ``uuid`` changes nothing.

    What was pinned of the same target before is replaced.
    """
    if Role.PLANNER not in by.roles:
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(reasons.REASON_MISSING)
    if until_on < timezone.localdate(at):
        raise Refused(pins.PIN_PAST)
    instrument = queries.lock_for_pin(serial=target.serial)
    if instrument is None:
        raise Refused(NOT_FOUND)
    if Pin.objects.filter(uuid=uuid).exists():
        return
    part, station = _found(target, instrument)
    same = {"instrument": instrument, "part": part, "station": station}
    Pin.objects.filter(lifted_at=None, **same).update(lifted_at=at, lifted_by=by)
    Pin.objects.create(
        uuid=uuid,
        reason=reason.strip()[: pins.LONGEST_PIN],
        until_on=until_on,
        pinned_at=at,
        pinned_by=by,
        **same,
    )


@transaction.atomic
def unpin(*, uuid: UUID, by: Person, at: datetime) -> str:
    """Lift a pin, and give the serial of what stood first by it."""
    if Role.PLANNER not in by.roles:
        raise Refused(NOT_YOUR_ROLE)
    row = (
        Pin.objects.select_for_update(of=("self",))
        .select_related("instrument")
        .filter(uuid=uuid)
        .first()
    )
    if row is None:
        raise Refused(NOT_FOUND)
    if row.lifted_at is not None:
        raise Refused(pins.PIN_LIFTED.about(serial=row.instrument.serial))
    row.lifted_at, row.lifted_by = at, by
    row.save(update_fields=["lifted_at", "lifted_by"])
    return row.instrument.serial


def _found(
    target: Target, instrument: Instrument
) -> tuple[Part | None, Station | None]:
    """Find the part and the station, and see that something is left to be done."""
    if instrument.state != InstrumentState.OPEN:
        raise Refused(
            pins.PIN_OF_CLOSED.about(
                serial=instrument.serial, how_word=instrument.state
            )
        )
    part = Part.objects.filter(instrument=instrument, code=target.part).first()
    station = Station.objects.filter(code=target.station).first()
    if (target.part and part is None) or (target.station and station is None):
        raise Refused(NOT_FOUND)
    if station and not queries.is_left_at(
        instrument_id=instrument.pk,
        part_id=part.pk if part else None,
        station=station,
    ):
        raise Refused(pins.PIN_NOTHING_LEFT.about(station=station.name))
    return part, station
