"""Is the air of a room written down, judged and told as it was?"""

from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from travelers.kit.refusals import Refused
from travelers.lumber import queries
from travelers.lumber.actions import note_air, note_airs
from travelers.lumber.models import Room, RoomReading
from travelers.lumber.rules import Air, Remedy, Told, cannot_be, remedy

HOUR = timedelta(hours=1)


@pytest.fixture
def room(shop: make.Shop) -> Room:
    return Room.objects.create(station=shop.cast.stations["ROOM"], limit_pct=Decimal(6))


def airs(
    end: datetime,
    count: int,
    warm: str = "40",
    damp: str = "30",
    every: timedelta = HOUR,
) -> list[tuple[datetime, Decimal, Decimal]]:
    return [
        (end - n * HOUR, Decimal(warm), Decimal(damp)) for n in reversed(range(count))
    ]


# Wood Handbook, FPL-GTR-190 (2010), table 4-2 as quoted in public: 70 °F (21.1 °C) and
# 30 % give 6.2 %, so that wood which must come below 6 % never does there.
def test_air_that_dries_too_little_names_what_would_help() -> None:
    damp = Air(21.1, 30)
    found = remedy(damp, 6.0)
    assert found
    assert found.humidity_pct is not None
    assert Air(21.1, found.humidity_pct).equilibrium_pct < 6.0
    assert Air(21.1, found.humidity_pct + 1).equilibrium_pct >= 6.0
    assert found.temperature_c is not None
    assert Air(found.temperature_c, 30).equilibrium_pct < 6.0
    assert Air(found.temperature_c - 1, 30).equilibrium_pct >= 6.0
    assert remedy(damp, 6.5) is None


def test_nobody_is_asked_to_heat_a_room_till_nobody_can_enter() -> None:
    assert remedy(Air(30, 70), 6.0) == Remedy(humidity_pct=30, temperature_c=None)


@pytest.mark.parametrize(
    ("warm", "damp", "code"),
    [
        (40, 105, "lumber.humidity_cannot_be"),
        (40, -1, "lumber.humidity_cannot_be"),
        (104, 30, "lumber.temperature_cannot_be"),
        (-30, 30, "lumber.temperature_cannot_be"),
    ],
)
def test_air_that_cannot_be_is_doubted(warm: float, damp: float, code: str) -> None:
    refused = cannot_be(warm, damp)
    assert refused
    assert refused.code == code


@pytest.mark.django_db
def test_the_same_reading_twice_is_one_and_another_is_refused(
    shop: make.Shop, room: Room
) -> None:
    def note(damp: str) -> RoomReading:
        return note_air(
            room_id=room.pk,
            read_at=shop.now,
            temperature_c=Decimal(40),
            humidity_pct=Decimal(damp),
            by=shop.cast.joiner,
            at=shop.now,
        )

    assert note("33.5") == note("33.5")
    with pytest.raises(Refused) as caught:
        note("35")
    assert caught.value.refusal.code == "lumber.air_known"
    assert RoomReading.objects.get().humidity_pct == Decimal("33.5")


@pytest.mark.django_db
def test_a_reading_of_tomorrow_is_refused(shop: make.Shop, room: Room) -> None:
    with pytest.raises(Refused) as caught:
        note_air(
            room_id=room.pk,
            read_at=shop.now + HOUR,
            temperature_c=Decimal(40),
            humidity_pct=Decimal(33),
            by=shop.cast.joiner,
            at=shop.now,
        )
    assert caught.value.refusal.code == "lumber.air_in_the_future"


@pytest.mark.django_db
def test_many_readings_come_in_once_and_all_or_none(
    shop: make.Shop, room: Room
) -> None:
    told = {"room_id": room.pk, "told": Told.BY_LOGGER}
    assert note_airs(readings=airs(shop.now, 30), **told) == 30
    assert note_airs(readings=airs(shop.now + 5 * HOUR, 30), **told) == 5
    wrong = [*airs(shop.now + 9 * HOUR, 2), (shop.now, Decimal(40), Decimal(105))]
    with pytest.raises(Refused):
        note_airs(readings=wrong, **told)
    assert RoomReading.objects.count() == 35


@pytest.mark.django_db
def test_the_air_of_now_is_the_mean_of_a_day(shop: make.Shop, room: Room) -> None:
    unread = queries.climate(code="ROOM", at=shop.now)
    assert (unread.air, unread.last_at, unread.remedy) == (None, None, None)
    note_airs(
        room_id=room.pk,
        readings=[
            *airs(shop.now - 24 * HOUR, 40, damp="90"),
            *airs(shop.now, 12, warm="40", damp="28"),
            *airs(shop.now - 12 * HOUR, 12, warm="42", damp="30"),
        ],
        told=Told.BY_FILE,
    )
    found = queries.climate(code="ROOM", at=shop.now)
    assert found.air == Air(pytest.approx(41), pytest.approx(29))
    assert (found.readings, found.last_at) == (24, shop.now)
    assert found.remedy is None
    later = queries.climate(code="ROOM", at=shop.now + 30 * HOUR)
    assert (later.air, later.last_at) == (None, shop.now)


@pytest.mark.django_db
def test_rooms_cost_two_queries_however_many(shop: make.Shop, room: Room) -> None:
    note_airs(room_id=room.pk, readings=airs(shop.now, 9), told=Told.BY_FILE)
    for count in (1, 2):
        with CaptureQueriesContext(connection) as caught:
            assert len(queries.climates(at=shop.now)) == count
        assert len(caught) == 2
        Room.objects.get_or_create(
            station=shop.cast.stations["RACK"], defaults={"limit_pct": 8}
        )


@pytest.mark.django_db
def test_days_are_those_of_the_rooms_clock(shop: make.Shop, room: Room) -> None:
    zone = ZoneInfo("Asia/Tokyo")
    midnight = shop.now.astimezone(zone).replace(hour=0, minute=0, second=0)
    note_airs(
        room_id=room.pk,
        readings=airs(midnight + HOUR, 4, damp="31"),
        told=Told.BY_FILE,
    )
    today, yesterday = queries.days(
        room_id=room.pk, since=shop.now - 48 * HOUR, zone=zone
    )
    assert (today.day, today.readings) == (midnight.date(), 2)
    assert (yesterday.readings, yesterday.driest_pct) == (2, Decimal(31))
