"""How is the air of a room written down?"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.lumber import rules
from travelers.lumber.models import Room, RoomReading
from travelers.lumber.rules import Told
from travelers.shop.models import Person

# So many rows go to the database in one statement.
ROWS_AT_ONCE = 2_000


@transaction.atomic
def note_air(
    *,
    room_id: int,
    read_at: datetime,
    temperature_c: Decimal,
    humidity_pct: Decimal,
    by: Person,
    at: datetime,
) -> RoomReading:
    """Write down what was read by hand; the same reading twice is one."""
    if doubt := rules.cannot_be(float(temperature_c), float(humidity_pct)):
        raise Refused(doubt)
    if read_at > at:
        raise Refused(rules.IN_THE_FUTURE.about(read_at=read_at.isoformat()))
    reading, new = RoomReading.objects.get_or_create(
        room_id=room_id,
        read_at=read_at,
        defaults={
            "temperature_c": temperature_c,
            "humidity_pct": humidity_pct,
            "told": Told.BY_HAND,
            "person": by,
        },
    )
    same = (reading.temperature_c, reading.humidity_pct) == (
        temperature_c,
        humidity_pct,
    )
    if not new and not same:
        raise Refused(rules.AIR_KNOWN.about(read_at=read_at.isoformat()))
    return reading


@transaction.atomic
def note_airs(
    *,
    room_id: int,
    readings: Sequence[tuple[datetime, Decimal, Decimal]],
    told: Told,
    by: Person | None = None,
) -> int:
    """Write down many readings, (moment, °C, %); say how many of them were new.

    All or none: one that cannot be is refused, and so are the others.
    """
    for _, temperature_c, humidity_pct in readings:
        if doubt := rules.cannot_be(float(temperature_c), float(humidity_pct)):
            raise Refused(doubt)
    room = Room.objects.select_for_update().get(pk=room_id)
    before = room.readings.count()
    RoomReading.objects.bulk_create(
        (
            RoomReading(
                room=room,
                read_at=read_at,
                temperature_c=temperature_c,
                humidity_pct=humidity_pct,
                told=told,
                person=by,
            )
            for read_at, temperature_c, humidity_pct in readings
        ),
        batch_size=ROWS_AT_ONCE,
        ignore_conflicts=True,
    )
    return room.readings.count() - before
