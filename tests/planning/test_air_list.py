"""Does a logger's list come in whole, once, and only after it was looked at?"""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile

from tests import make
from tests.desk import client, text_of
from travelers.lumber.models import Room, RoomReading
from travelers.planning.forms.air_list import MOST_READINGS, packed, unpacked

pytestmark = pytest.mark.django_db

URL = "/rooms/ROOM/import/"
HEAD = "Zeit;Temperatur (°C);Feuchte (%rF);Battery\n"


@pytest.fixture
def room(shop: make.Shop) -> Room:
    return Room.objects.create(
        station=shop.cast.stations["ROOM"], limit_pct=Decimal("6.0")
    )


def send(
    shop: make.Shop, content: str | bytes, name: str = "log.csv", **more: str
) -> Any:
    given = content.encode() if isinstance(content, str) else content
    with time_machine.travel(shop.now, tick=False):
        return client(shop, "planner").post(
            URL, {"list": SimpleUploadedFile(name, given), **more}
        )


def write_down(shop: make.Shop, preview: Any, **other: str) -> Any:
    given = {"readings": preview.context["packed"]} | other
    with time_machine.travel(shop.now, tick=False):
        return client(shop, "planner").post(URL, given, follow=True)


def rows_of() -> list[tuple[Any, ...]]:
    return list(
        RoomReading.objects.order_by("read_at").values_list(
            "read_at", "temperature_c", "humidity_pct", "told"
        )
    )


def words(answer: Any) -> str:
    return " ".join(text_of(answer).split())


@pytest.mark.usefixtures("room")
def test_a_list_is_shown_and_then_written_down(shop: make.Shop) -> None:
    content = HEAD + "09.03.2026 07:10;40,04;33,2;99\n09.03.2026 07:00;-2,5;33;99\n"
    preview = send(shop, content)
    assert preview.status_code == 200
    assert "2 readings were read from “log.csv”" in words(preview)
    assert "Nothing here asks for: Battery." in words(preview)
    assert not RoomReading.objects.exists()
    answer = write_down(shop, preview)
    assert "2 readings are written down." in words(answer)
    six = datetime(2026, 3, 9, 6, tzinfo=UTC)
    assert rows_of() == [
        (six, Decimal("-2.5"), Decimal("33.0"), "BY_FILE"),
        (six + timedelta(minutes=10), Decimal("40.0"), Decimal("33.2"), "BY_FILE"),
    ]
    assert RoomReading.objects.filter(person=shop.cast.planner).count() == 2


@pytest.mark.usefixtures("room")
def test_a_list_sent_twice_counts_once(shop: make.Shop) -> None:
    content = HEAD + "2026-03-09 07:00;40;33;\n2026-03-09 07:10;40;33;\n"
    write_down(shop, send(shop, content))
    longer = content + "2026-03-09 07:20;41;33;\n"
    preview = send(shop, longer)
    assert preview.context["summary"].known == 2
    answer = write_down(shop, preview)
    assert "1 reading is written down. 2 were known already." in words(answer)
    assert RoomReading.objects.count() == 3


@pytest.mark.usefixtures("room")
@pytest.mark.parametrize(
    ("row", "column", "said"),
    [
        ("2026-03-09 07:20;40;105;", "Humidity (%)", "between 0 and 100 %, not at 105"),
        (
            "2026-03-09 07:20;104;33;",
            "Temperature (°C)",
            "No drying room is at 104 °C.",
        ),
        ("2026-03-09 07:20;warm;33;", "Temperature (°C)", "Type a number alone"),
        ("2026-03-09 07:20;=A1;33;", "Temperature (°C)", "holds a formula"),
        ("2026-03-09 07:20;;33;", "Temperature (°C)", "This cell is empty."),
        ("2027-03-09 07:20;40;33;", "Read at", "has not come yet"),
        ("03/09/2026 07:20;40;33;", "Read at", "cannot be mixed up"),
        ("2026-03-09 07:00;41;33;", "Read at", "twice, with other values"),
    ],
)
def test_a_bad_cell_is_named_and_nothing_is_taken(
    shop: make.Shop, row: str, column: str, said: str
) -> None:
    answer = send(shop, HEAD + "2026-03-09 07:00;40;33;\n" + row + "\n")
    assert answer.status_code == 422
    assert f"<b>Row 3 of the list, {column}:</b>" in words(answer)
    assert said in words(answer)
    assert answer.context["packed"] == ""
    assert not RoomReading.objects.exists()


@pytest.mark.usefixtures("room")
def test_the_hour_that_a_clock_shows_twice_is_read_twice(shop: make.Shop) -> None:
    # In Berlin 26 October 2025 has 02:30 at 00:30 and at 01:30 UTC.
    content = HEAD + "".join(
        f"2025-10-26 {clock};{warm};33;\n"
        for clock, warm in (("02:30", 40), ("02:30", 41), ("03:30", 42))
    )
    write_down(shop, send(shop, content))
    assert [row[0].hour for row in rows_of()] == [0, 1, 2]


@pytest.mark.usefixtures("room")
@pytest.mark.parametrize(
    ("clock", "hour"), [("SHOP", 10), ("WINTER", 11), ("UTC", 12), ("odd", 10)]
)
def test_a_list_tells_by_which_clock_it_is(
    shop: make.Shop, clock: str, hour: int
) -> None:
    # Berlin is 1 h ahead of UTC in winter and 2 h in summer.
    preview = send(shop, HEAD + "2025-07-01 12:00;40;33;\n", clock=clock)
    write_down(shop, preview)
    assert rows_of()[0][0] == datetime(2025, 7, 1, hour, tzinfo=UTC)


@pytest.mark.usefixtures("room")
def test_an_hour_that_was_leapt_over_is_one_of_winter_time(shop: make.Shop) -> None:
    content = HEAD + "2025-03-30 02:30;40;33;\n"
    assert "it was set forward over it" in words(send(shop, content))
    assert send(shop, content, clock="WINTER").status_code == 200


@pytest.mark.usefixtures("room")
def test_twenty_thousand_rows_come_in(shop: make.Shop) -> None:
    start = datetime(2025, 10, 1, tzinfo=UTC)
    moments = (start + timedelta(minutes=10 * n) for n in range(MOST_READINGS))
    content = "Time,Temp,RH\n" + "".join(
        f"{moment.isoformat()},{40 + n % 7 / 10:.2f},33.{n % 10}\n"
        for n, moment in enumerate(moments)
    )
    preview = send(shop, content)
    # What goes to the browser and back fits in a form.
    assert len(preview.context["packed"]) < 300_000
    assert "20000 readings are written down." in words(write_down(shop, preview))
    assert RoomReading.objects.count() == MOST_READINGS
    more = send(shop, content + "2026-03-09 07:00,40,33\n")
    assert "more than 20000 rows" in words(more)


@pytest.mark.usefixtures("room")
def test_a_workbook_of_readings_comes_in(shop: make.Shop) -> None:
    from openpyxl import Workbook

    book = Workbook()
    book.active.append(["Fecha y hora", "Temperatura (°C)", "Humedad (%)"])
    book.active.append([datetime(2026, 3, 9, 7), 40.04, 33])  # noqa: DTZ001
    written = BytesIO()
    book.save(written)
    write_down(shop, send(shop, written.getvalue(), "libro.xlsx"))
    assert rows_of()[0][:2] == (datetime(2026, 3, 9, 6, tzinfo=UTC), Decimal("40.0"))


@pytest.mark.usefixtures("room")
def test_what_was_not_shown_here_is_not_written_down(shop: make.Shop) -> None:
    preview = send(shop, HEAD + "2026-03-09 07:00;40;33;\n")
    sealed = preview.context["packed"]
    for forged in ("", "x", sealed[:-1] + "x", packed([], room="OTHER")):
        answer = write_down(shop, preview, readings=forged)
        assert answer.status_code == 422
    assert unpacked(sealed, room="OTHER") is None
    assert not RoomReading.objects.exists()


@pytest.mark.usefixtures("room")
def test_no_list_says_so_and_a_reader_only_sends_none(shop: make.Shop) -> None:
    answer = client(shop, "planner").post(URL)
    assert "Choose a file first." in words(answer)
    assert client(shop, "engineer").get(URL).status_code == 403
    assert client(shop, "planner").get("/rooms/SAW/import/").status_code == 404
