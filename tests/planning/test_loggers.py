"""Does a logger tell the air of its own room, and nobody else instead of it?"""

import json
from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
import time_machine
from bs4 import BeautifulSoup
from django.test import Client

from tests import make
from tests.desk import client, main_of, page_of
from travelers.kit.refusals import Refused
from travelers.lumber.actions import hear_logger, let_logger_in, put_logger_out
from travelers.lumber.models import Logger, Room, RoomReading
from travelers.lumber.rules import MOST_LOGGED, Told

pytestmark = pytest.mark.django_db
Row = Mapping[str, Any]


@pytest.fixture
def room(shop: make.Shop) -> Room:
    return Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("7.2")
    )


@pytest.fixture
def token(shop: make.Shop, room: Room) -> str:
    return let_logger_in(
        room_id=room.pk, name="L1", by=shop.cast.lead, at=shop.now
    ).token


def row(at: datetime, warm: Any = 40.6, damp: Any = 33.1) -> dict[str, Any]:
    return {"read_at": at.isoformat(), "temperature_c": warm, "humidity_pct": damp}


def send(
    shop: make.Shop, token: str, *rows: Any, body: bytes | None = None, to: str = "ROOM"
) -> Any:
    """Post as a logger does, which knows of no cookie and no other token."""
    sent = json.dumps({"readings": rows}).encode() if body is None else body
    with time_machine.travel(shop.now, tick=False):
        return Client(enforce_csrf_checks=True).post(
            f"/rooms/{to}/log/",
            sent,
            content_type="application/json",
            headers={"Authorization": f"Bearer {token}"} if token else {},
        )


def test_what_a_logger_sends_is_the_air_of_its_room(
    shop: make.Shop, room: Room, token: str
) -> None:
    rows = [row(shop.now - timedelta(minutes=10 * n)) for n in range(3)]
    answer = send(shop, token, *rows)
    assert (answer.status_code, answer.json()) == (200, {"new": 3, "known": 0})
    stored = RoomReading.objects.order_by("-read_at")
    assert [one.read_at for one in stored] == [
        datetime.fromisoformat(one["read_at"]) for one in rows
    ]
    first = stored[0]
    assert (first.temperature_c, first.humidity_pct, first.told) == (
        Decimal("40.6"),
        Decimal("33.1"),
        Told.BY_LOGGER,
    )
    assert Logger.objects.get().heard_at == shop.now


def test_what_is_sent_again_counts_once(
    shop: make.Shop, room: Room, token: str
) -> None:
    rows = [row(shop.now - timedelta(minutes=10 * n)) for n in range(3)]
    send(shop, token, *rows[1:])
    assert send(shop, token, *rows).json() == {"new": 1, "known": 2}
    assert RoomReading.objects.count() == 3


def wrong(at: datetime, **instead: Any) -> dict[str, Any]:
    return row(at) | instead


@pytest.mark.parametrize(
    ("spoil", "code", "field"),
    [
        ({"humidity_pct": 105}, "lumber.humidity_cannot_be", "humidity_pct"),
        ({"temperature_c": 104.9}, "lumber.temperature_cannot_be", "temperature_c"),
        ({"temperature_c": "40,6"}, "lumber.log_not_a_number", "temperature_c"),
        ({"temperature_c": True}, "lumber.log_not_a_number", "temperature_c"),
        ({"humidity_pct": None}, "lumber.log_not_a_number", "humidity_pct"),
        ({"humidity_pct": 1e99}, "lumber.log_not_a_number", "humidity_pct"),
        ({"read_at": "2026-03-10T08:30:00"}, "lumber.log_not_a_moment", "read_at"),
        ({"read_at": 1773131400}, "lumber.log_not_a_moment", "read_at"),
        ({"read_at": "yesterday"}, "lumber.log_not_a_moment", "read_at"),
        ({"read_at": "2027-01-01T00:00Z"}, "lumber.air_in_the_future", "read_at"),
    ],
)
def test_one_reading_that_cannot_be_refuses_the_list_and_is_named(
    shop: make.Shop,
    room: Room,
    token: str,
    spoil: dict[str, Any],
    code: str,
    field: str,
) -> None:
    rows = [row(shop.now - timedelta(minutes=n)) for n in (3, 2, 1)]
    rows[1] |= spoil
    answer = send(shop, token, *rows)
    assert answer.status_code == 422
    no = answer.json()["refused"]
    assert (no["code"], no["reading"], no["field"]) == (code, 1, field)
    assert no["sentence"]
    assert no["remedy"]
    assert not RoomReading.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"\xff\xfe",
        b"temperature=40",
        b"[" * 100_000,
        b"[]",
        b"{}",
        b'{"readings": []}',
        b'{"readings": "40"}',
        b'{"readings": [40]}',
        b'{"readings": [{"read_at": NaN}]}',
    ],
)
def test_what_is_no_list_is_refused_in_words(
    shop: make.Shop, room: Room, token: str, body: bytes
) -> None:
    answer = send(shop, token, body=body)
    assert answer.status_code == 422
    assert answer.json()["refused"]["code"] in (
        "lumber.log_unreadable",
        "lumber.log_not_a_moment",
    )


def test_a_list_that_is_too_long_is_refused(
    shop: make.Shop, room: Room, token: str
) -> None:
    rows = [row(shop.now - timedelta(minutes=n)) for n in range(MOST_LOGGED + 1)]
    answer = send(shop, token, *rows)
    assert answer.json()["refused"]["code"] == "lumber.log_too_long"
    assert send(shop, token, *rows[1:]).json() == {"new": MOST_LOGGED, "known": 0}


def test_a_clock_that_is_a_minute_ahead_is_taken(
    shop: make.Shop, room: Room, token: str
) -> None:
    assert send(shop, token, row(shop.now + timedelta(minutes=1))).status_code == 200


# --- Whose token it is


def no_token(shop: make.Shop, token: str) -> str:
    return ""


def another_token(shop: make.Shop, token: str) -> str:
    return token[:-1] + ("A" if token[-1] != "A" else "B")


def token_of_one_put_out(shop: make.Shop, token: str) -> str:
    put_logger_out(logger_id=Logger.objects.get().pk, by=shop.cast.lead, at=shop.now)
    return token


def token_of_another_room(shop: make.Shop, token: str) -> str:
    other = Room.objects.create(
        station=shop.cast.stations["RACK"], limit_pct=Decimal(8)
    )
    return let_logger_in(
        room_id=other.pk, name="L2", by=shop.cast.lead, at=shop.now
    ).token


@pytest.mark.parametrize(
    "shown", [no_token, another_token, token_of_one_put_out, token_of_another_room]
)
def test_another_token_is_refused_and_nothing_is_written(
    shop: make.Shop, room: Room, token: str, shown: Callable[[make.Shop, str], str]
) -> None:
    answer = send(shop, shown(shop, token), row(shop.now))
    assert answer.status_code == 403
    assert answer.json()["refused"]["code"] == "lumber.logger_unknown"
    assert not RoomReading.objects.exists()
    assert not Logger.objects.filter(heard_at__isnull=False).exists()


def test_one_that_is_put_out_in_between_is_not_heard(
    shop: make.Shop, room: Room, token: str
) -> None:
    token_of_one_put_out(shop, token)
    with pytest.raises(Refused) as caught:
        hear_logger(room_id=room.pk, token=token, readings=[], at=shop.now)
    assert caught.value.refusal.code == "lumber.logger_unknown"


def test_the_token_is_kept_as_a_digest_alone(
    shop: make.Shop, room: Room, token: str
) -> None:
    stored = Logger.objects.values().get()
    assert token not in str(stored)


def test_who_is_no_lead_lets_none_in(shop: make.Shop, room: Room) -> None:
    with pytest.raises(Refused) as caught:
        let_logger_in(room_id=room.pk, name="L1", by=shop.cast.joiner, at=shop.now)
    assert caught.value.refusal.code == "kit.not_your_role"
    with pytest.raises(Refused):
        put_logger_out(logger_id=1, by=shop.cast.joiner, at=shop.now)


# --- The page


def let_in(shop: make.Shop, name: str) -> Any:
    return client(shop, "lead").post("/rooms/ROOM/loggers/", {"name": name})


def test_a_lead_lets_one_in_and_sees_its_token_once(
    shop: make.Shop, room: Room
) -> None:
    answer = let_in(shop, "Grey box 3")
    shown = BeautifulSoup(main_of(answer), "html.parser").select_one(".token")
    assert shown
    assert send(shop, shown.text.strip(), row(shop.now)).status_code == 200
    again = client(shop, "lead").get("/rooms/ROOM/loggers/")
    assert shown.text.strip() not in main_of(again)
    assert page_of(again).rows[0].heard_at == shop.now
    assert "Grey box 3" in main_of(again)
    assert "no-store" in again["Cache-Control"]


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("L1", "This room has had a logger L1 already."),
        ("", "This field is required"),
        ("x" * 41, "at most 40 characters"),
    ],
)
def test_a_name_that_cannot_be_is_said_in_its_place(
    shop: make.Shop, room: Room, token: str, name: str, says: str
) -> None:
    answer = let_in(shop, name)
    assert answer.status_code == 422
    assert says in main_of(answer)
    assert Logger.objects.count() == 1


def test_one_that_is_put_out_stands_at_the_end(
    shop: make.Shop, room: Room, token: str
) -> None:
    let_in(shop, "L2")
    first = Logger.objects.get(name="L1")
    answer = client(shop, "lead").post(
        f"/rooms/ROOM/loggers/{first.pk}/out/", follow=True
    )
    assert [one.name for one in page_of(answer).rows] == ["L2", "L1"]
    assert send(shop, token, row(shop.now)).status_code == 403


def test_only_who_lets_them_in_is_led_to_the_loggers(
    shop: make.Shop, room: Room
) -> None:
    for by, led in (("lead", True), ("joiner", False)):
        page = main_of(client(shop, by).get("/rooms/ROOM/"))
        assert ("/rooms/ROOM/loggers/" in page) is led
