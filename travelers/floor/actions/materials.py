"""How does a batch come in, come to a station, and get held?"""

from collections.abc import Collection, Iterator
from datetime import date, datetime
from uuid import UUID

from django.db import IntegrityError, transaction
from django.utils import timezone

from travelers.floor import queries
from travelers.floor.models import (
    Batch,
    BatchAtStation,
    BatchHold,
    Event,
    MaterialUse,
)
from travelers.floor.rules import reasons
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import BENCH, DECIDERS
from travelers.floor.rules.materials import AtHand
from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.kit.rows import add_row
from travelers.routes.models import Material
from travelers.routes.rules import Traced
from travelers.shop.actions import take_codes
from travelers.shop.models import Person, Station

REASON_LENGTH = 200


def take_batch_in(
    *,
    material_id: int,
    number: str,
    received_on: date,
    expires_on: date | None = None,
    by: Person,
    at: datetime,
) -> Batch:
    """Take a batch in under its maker's number, and give it a label's code."""
    material = Material.objects.filter(pk=material_id).first()
    if material is None:
        raise Refused(NOT_FOUND)
    if material.traced != Traced.BATCH:
        raise Refused(reasons.NOT_BY_BATCH.about(material=material.name))
    taken = reasons.BATCH_NUMBER_TAKEN.about(number=number, material=material.name)
    if Batch.objects.filter(material=material, number=number).exists():
        raise Refused(taken)
    try:
        with transaction.atomic():
            return Batch.objects.create(
                code=take_codes(kind="B", count=1)[0],
                material=material,
                number=number,
                received_on=received_on,
                expires_on=expires_on,
                taken_in_at=at,
                taken_in_by=by,
            )
    except IntegrityError as twice:
        # The same batch taken in by two at once.
        raise Refused(taken) from twice


@transaction.atomic
def bring_batch(*, code: str, station: Place, person: Person, at: datetime) -> AtHand:
    """Let a station work with a batch from now on; what is held comes nowhere.

    One that is over may come: the lead may let pass what is made with it.
    """
    batch = queries.find_batch(code=code)
    if batch is None:
        raise Refused(NOT_FOUND)
    if not BENCH & frozenset(person.roles):
        raise Refused(reasons.MAY_NOT.about(person=str(person)))
    if batch.held:
        fault = batch.fault(timezone.localdate(at))
        raise Refused(fault or NOT_FOUND)
    set_at_station(batch=batch, station_id=station.id, person_id=person.pk, at=at)
    return batch


def set_at_station(
    *, batch: AtHand, station_id: int, person_id: int, at: datetime
) -> None:
    """Write down that a batch came to a station; nothing where it stands there.

    The station is locked, so that a label scanned twice at once is written once.
    """
    Station.objects.select_for_update(no_key=True).get(pk=station_id)
    wanted = {batch.material_id}
    stands = queries.batches_at(station_id=station_id, material_ids=wanted, at=at)
    known = stands.get(batch.material_id)
    if known and known.batch_id == batch.batch_id:
        return
    BatchAtStation.objects.create(
        batch_id=batch.batch_id,
        station_id=station_id,
        person_id=person_id,
        began_at=at,
    )
    Batch.objects.filter(pk=batch.batch_id, opened_at=None).update(opened_at=at)


@transaction.atomic
def hold_batches(
    *, holds: Collection[tuple[UUID, int]], reason: str, by: Person, at: datetime
) -> None:
    """Hold batches, each by an id of its own; one that is known is held already."""
    if not DECIDERS & frozenset(by.roles):
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(reasons.REASON_MISSING)
    for uuid, batch_id in holds:
        BatchHold.objects.get_or_create(
            uuid=uuid,
            defaults={
                "batch_id": batch_id,
                "reason": reason.strip()[:REASON_LENGTH],
                "held_at": at,
                "held_by": by,
            },
        )


@transaction.atomic
def lift_batch_hold(*, uuid: UUID, reason: str, by: Person, at: datetime) -> None:
    """Lift one hold of a batch; what another holds stays held."""
    if not DECIDERS & frozenset(by.roles):
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(reasons.REASON_MISSING)
    hold = (
        BatchHold.objects.select_for_update(of=("self",))
        .select_related("batch")
        .filter(uuid=uuid)
        .first()
    )
    if hold is None:
        raise Refused(NOT_FOUND)
    if hold.lifted_at is not None:
        raise Refused(reasons.NO_SUCH_BATCH_HOLD.about(number=hold.batch.number))
    hold.lifted_at, hold.lifted_by = at, by
    hold.lifted_reason = reason.strip()[:REASON_LENGTH]
    hold.save(update_fields=["lifted_at", "lifted_by", "lifted_reason"])


def write_uses(event: Event) -> None:
    """Write what an accepted event used, as it says."""
    for use in _uses(event):
        add_row(use)


def note_brought(event: Event) -> None:
    """Let the batches that a tablet was brought while cut off stand at its station."""
    for code in event.data["batches"].split(","):
        batch = queries.find_batch(code=code)
        if batch and event.station_id:
            set_at_station(
                batch=batch,
                station_id=event.station_id,
                person_id=event.person_id,
                at=event.happened_at,
            )


def _uses(event: Event) -> Iterator[MaterialUse]:
    for row in event.data["uses"]:
        yield MaterialUse(
            event=event,
            need_id=row["need"],
            batch_id=row["batch"],
            serial=row["serial"],
        )
