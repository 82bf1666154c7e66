"""Does the digest say what the pages behind it say, on two sheets, and by e-mail?"""

from dataclasses import replace
from datetime import date, timedelta
from io import StringIO
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from bs4 import BeautifulSoup
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import connection
from django.test import override_settings
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests import make
from tests.desk import client, released, text_of
from tests.floor import story
from tests.paper.scanner import sheets, words
from travelers.floor.models import Reading
from travelers.floor.rules import Wish
from travelers.kit.drawing import bars
from travelers.lumber.models import Room
from travelers.lumber.queries import Climate, climate
from travelers.paper import documents, queries
from travelers.paper.queries import Digest
from travelers.paper.queries.digest import (
    MOST_GAINS,
    MOST_HELD,
    MOST_KINDS,
    MOST_LATE,
    MOST_LIMITS,
    MOST_NEVER,
    MOST_OLD,
    MOST_SIGNALS,
    WEEKS_AHEAD,
    DryRoom,
    DryWeek,
    HeldRow,
    LateRow,
    Never,
    Signals,
)
from travelers.paper.rules import Size
from travelers.planning.actions import make_forecast
from travelers.planning.queries.flow.ages import Open
from travelers.planning.queries.forecast import limits_page, promises_page
from travelers.planning.queries.forecast.page import GainRow
from travelers.planning.queries.forecast.reasons import Because
from travelers.quality.models import SignalAnswer
from travelers.quality.queries import chart_page, open_signals
from travelers.quality.queries.charts import Asked as ChartAsked
from travelers.quality.queries.pareto import KindRow
from travelers.routes.models import Characteristic

pytestmark = [pytest.mark.django_db, pytest.mark.once]
ZONE = ZoneInfo("Europe/Berlin")
DAY = date(2026, 11, 30)
TO_SOMEBODY = {"EMAIL_HOST": "mail.invalid", "DIGEST_TO": ["lead@shop.invalid"]}


@pytest.fixture
def shop(monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Give the small shop; screens and commands read its clock."""
    made = make.shop()
    monkeypatch.setattr(timezone, "now", lambda: made.now)
    return made


def now(shop: make.Shop, **more: Any) -> Digest:
    return queries.digest_now(at=shop.now, zone=ZONE, **more)


def late_order(shop: make.Shop) -> str:
    """Release an order that is due today, and forecast the floor."""
    (made,) = released(shop, 1)
    made.order.due_on = shop.now.date()
    made.order.save(update_fields=["due_on"])
    make_forecast(at=shop.now, seed=1, futures=20, zone=ZONE)
    return made.order.number


def test_what_is_late_is_what_the_promises_say(shop: make.Shop) -> None:
    number = late_order(shop)
    late = now(shop).late
    (row,) = late.rows
    (promise,) = promises_page(order="", at=shop.now, zone=ZONE).orders
    assert row.promise == promise
    assert (promise.name, late.count) == (number, 1)
    assert promise.late_pct == pytest.approx(100, abs=0.1)
    assert row.due == (promise.due_on - late.since) / (late.until - late.since)
    assert row.first <= row.likely <= row.last <= 1
    assert late.overdue == 0
    shop.later(days=1)
    assert now(shop).late.overdue == 1


def test_without_a_forecast_it_says_so_and_counts_what_is_overdue(
    shop: make.Shop,
) -> None:
    (made,) = released(shop, 1)
    made.order.due_on = shop.now.date() - timedelta(days=1)
    made.order.save(update_fields=["due_on"])
    page = text_of(client(shop, "planner").get("/digest/"))
    assert "Nothing was forecast yet." in page
    assert "1 is past its due date." in page


def test_the_limit_is_that_of_the_limits_page(shop: make.Shop) -> None:
    released(shop, 9)
    make_forecast(at=shop.now, seed=3, futures=20, zone=ZONE, with_gains=True)
    limit, page = now(shop).limit, limits_page(at=shop.now)
    assert limit.named == page.limit
    assert limit.named
    assert limit.stations[0] == page.stations[0]
    best = max(one.days[0] for one in page.gains)
    assert limit.gains[0].days[0] == best


@pytest.mark.twice
def test_quality_counts_four_weeks_and_what_waits(shop: make.Shop) -> None:
    first, made = released(shop, 2)
    for one in (first, made):
        step = story.at(shop, shop.part(one), "Machine")
        shop.must(Wish.START, step)
        story.report(shop, step, "TEAR_OUT")
        shop.later(days=20)
    held = shop.scan(
        Wish.HOLD, shop.part(made), by="qa", reason="grain runs out", only_part=True
    )
    assert held.accepted
    quality = now(shop).quality
    assert (quality.until - quality.since).days == 27
    # The first is older than four weeks, and still waits for its decision.
    assert (quality.found, quality.open_defects) == (1, 2)
    assert [(row.code, row.count) for row in quality.kinds] == [("TEAR_OUT", 1)]
    assert (quality.held_count, quality.held[0].serial) == (1, made.serial)
    assert quality.held[0].reason == "grain runs out"


@pytest.mark.twice
def test_more_charts_ask_no_more_of_the_database(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of a body is charted first, then one of a neck beside it, with values."""
    for place, checks in make.CHECKS.items():
        charted = tuple(one | {"charted": True} for one in checks)
        monkeypatch.setitem(make.CHECKS, place, charted)
    # Of one place, as the other.
    (fret,) = make.CHECKS["NECK", 20]
    monkeypatch.setitem(make.CHECKS, ("NECK", 20), (fret | {"places": 1},))
    shop = make.shop()
    asked = []
    for branch in ("BODY", "NECK"):
        for one in released(shop, 3):
            shop.work(shop.part(one, branch))
        with CaptureQueriesContext(connection) as caught:
            rows = open_signals(numbers=charts(), since=make.MORNING, zone=ZONE)
        asked.append((len(rows), len(caught)))
    (few, some), (more, same) = asked
    assert few < more
    assert some == same
    for number in rows:
        page = chart_page(number=number, asked=ChartAsked(), zone=ZONE)
        assert rows[number] == page.open_signals


def charts() -> set[int]:
    """Name what was measured and is charted."""
    return set(Reading.objects.values_list("characteristic_id", flat=True))


@pytest.mark.parametrize("charted", [True, False])
def test_signals_are_those_of_charts_that_nobody_answered(
    db: None, monkeypatch: pytest.MonkeyPatch, charted: bool
) -> None:
    """A value far off, after many that are alike, is a signal of the pocket."""
    ((pocket,), at) = make.CHECKS["BODY", 40], ("BODY", 40)
    monkeypatch.setitem(make.CHECKS, at, (pocket | {"charted": charted},))
    shop = make.shop()
    for value in ["56.10", "56.11"] * 5 + ["56.19"]:
        step = story.at(shop, shop.part(shop.instrument()), "Machine")
        shop.must(Wish.START, step)
        shop.check(step, POCKET=value)
    check = Characteristic.objects.get(code="POCKET")
    page = chart_page(number=check.pk, asked=ChartAsked(), zone=ZONE)
    month = shop.now - timedelta(weeks=4)
    left = sum(one.at >= month for one in page.signals)
    # Some are older than that, and not counted.
    assert 0 < left < len(page.signals)

    def found() -> list[tuple[str, int]]:
        return [(one.name, one.count) for one in now(shop).quality.signals]

    assert found() == [("Pocket width", left)] * charted
    SignalAnswer.objects.create(
        characteristic=check, event_id=page.signals[0].event_id, rules="1",
        cause="a chip", action="blown out", by=shop.cast.qa, answered_at=shop.now,
    )  # fmt: skip
    assert found() == [("Pocket width", left - 1)] * charted


def test_each_figure_leads_to_its_parts(shop: make.Shop) -> None:
    number = late_order(shop)
    body = shop.part(shop.instrument())
    assert shop.scan(Wish.HOLD, body, by="qa", reason="x", only_part=True).accepted
    for who, way in (
        ("planner", f"/promises/?order={number}#instruments"),
        ("qa", f"/orders/{number}/"),
    ):
        reader = client(shop, who)
        page = BeautifulSoup(text_of(reader.get("/digest/")), "html.parser")
        ways = {str(one["href"]) for one in page.select("main a[href]")}
        assert way in ways
        assert f"/instrument/{body.instrument.serial}/" in ways
        for one in sorted(ways - {"/digest/digest.pdf"}):
            assert reader.get(one.partition("#")[0]).status_code == 200, (who, one)


@pytest.mark.once
def test_the_sheets_say_what_the_page_says(shop: make.Shop) -> None:
    number = late_order(shop)
    answer = client(shop, "planner").get("/digest/digest.pdf")
    assert answer["Content-Type"] == "application/pdf"
    printed = answer.content
    said = words(printed)
    count = len(sheets(printed).pages)
    assert count <= 2
    for text in (
        "Digest of 10 Mar 2026",
        "1 order is late in more futures than not.",
        number,
        "The limit, and what would help",
        "Stuck",
        "Drying",
        "Quality, the last four weeks",
    ):
        assert text in said
    assert sheets(printed).metadata.title == "Digest of 10 Mar 2026"


def full(shop: make.Shop) -> Digest:
    """Fill each list to its end, with the longest names that there can be."""
    (made,) = released(shop, 1)
    late_order(shop)
    found = now(shop)
    station = replace(
        limits_page(at=shop.now).stations[0], name="Level, crown and polish: " * 2
    )
    gain = GainRow("A", "Level, crown and polish", "REWORK", (9, 8, 10), (1, 1, 2))
    old = Open(
        made.serial, "Wren", "W1", DAY, shop.now, timedelta(days=400), 1,
        "Assembly and everything after it", 99.0,
    )  # fmt: skip
    kind = KindRow(1, "X", "Colour off the master panel of that year", 9, 9, 9, 99)
    signals = Signals(1, "Fret slot width", "Saw the slots", "Wren", 9)
    held = HeldRow(made.serial, shop.now, "reason " * 25)
    return replace(
        found,
        late=replace(found.late, rows=(_late(found, shop),) * MOST_LATE, count=99),
        limit=replace(
            found.limit,
            stations=(station,) * MOST_LIMITS,
            named=station,
            gains=(gain,) * MOST_GAINS,
        ),
        stuck=replace(found.stuck, rows=(old,) * MOST_OLD, count=99, old_days=200.0),
        rooms=(_room(shop),) * 3,
        quality=replace(
            found.quality,
            kinds=(kind,) * MOST_KINDS,
            signals=(signals,) * MOST_SIGNALS,
            held=(held,) * MOST_HELD,
            held_count=99,
        ),
    )


def _late(found: Digest, shop: make.Shop) -> LateRow:
    promise = replace(
        found.late.rows[0].promise,
        name="W26-000000000001",
        because=Because.QUEUE,
        branch="ELECTRONICS",
        mate="NECK",
        station="Side port cutter and its neighbours",
        operation="Level, crown and polish the frets of the neck",
        until=shop.now,
        before=88,
        spent=tuple((sort, 188.0) for sort in ("work", "queue", "closed", "lies")),
    )
    return LateRow(promise, 0.2, 0.5, 1.0, 0.1)


def _room(shop: make.Shop) -> DryRoom:
    never = (Never("D26-05-01-B3", "H00045"),) * MOST_NEVER
    weeks = tuple(DryWeek(DAY + timedelta(weeks=n), n) for n in range(WEEKS_AHEAD))
    return DryRoom(_climate(shop), 99, 9, 9, 9, weeks, 9, never, 99)


def _climate(shop: make.Shop) -> Climate:
    Room.objects.get_or_create(
        station=shop.cast.stations["ROOM"], defaults={"limit_pct": 7}
    )
    return climate(code="ROOM", at=shop.now)


@pytest.mark.once
@pytest.mark.parametrize("size", list(Size))
@pytest.mark.parametrize("spoken", ["en", "es"])
def test_when_everything_is_wrong_it_is_still_two_sheets(
    shop: make.Shop, size: Size, spoken: str
) -> None:
    digest = replace(full(shop), size=size, language=spoken)
    printed = documents.digest_sheet(digest=digest)
    count = len(sheets(printed).pages)
    assert count == 2
    again = documents.digest_sheet(digest=digest)
    same = again == printed
    assert same


def test_drying_says_what_comes_and_what_never_does(shop: make.Shop) -> None:
    _climate(shop)
    (made,) = released(shop, 1)
    body = shop.part(made)
    dry = story.at(shop, body, "Dry")
    shop.must(Wish.LOAD, dry)
    (room,) = now(shop).rooms
    assert (room.lying, room.unread, room.coming, room.never_count) == (1, 1, 0, 0)
    assert body.plank_set
    pieces = body.plank_set.pieces.count()
    shop.later(days=1)
    shop.read_wood(body.plank_set, *["6.1"] * pieces)
    (room,) = now(shop).rooms
    assert (room.dry, room.unread) == (1, 0)


# --- By e-mail


def sent() -> str:
    said = StringIO()
    call_command("send_digest", stdout=said)
    return said.getvalue()


@pytest.mark.parametrize(
    "missing", [{"EMAIL_HOST": ""}, {"DIGEST_TO": []}], ids=["no server", "nobody"]
)
def test_where_no_mail_is_set_nothing_is_sent_and_it_says_so(
    shop: make.Shop, missing: dict[str, Any]
) -> None:
    with override_settings(**(TO_SOMEBODY | missing)):
        assert "Nothing was sent" in sent()
    assert mail.outbox == []


@pytest.mark.once
def test_the_digest_is_sent_with_its_sheets(shop: make.Shop) -> None:
    late_order(shop)
    with override_settings(**TO_SOMEBODY):
        assert "Sent to lead@shop.invalid." in sent()
    (message,) = mail.outbox
    assert message.subject == "Digest of 10 Mar 2026"
    assert "Orders that will be late: 1" in message.body
    assert message.body.endswith("/digest/")
    ((name, sheet, kind),) = message.attachments
    assert (name, kind) == ("digest-2026-03-10.pdf", "application/pdf")
    assert "1 order is late" in words(sheet)


class NoServer(EmailBackend):
    """Stands where a mail server cannot be reached."""

    def send_messages(self, messages: Any) -> int:
        raise ConnectionRefusedError("nobody there")


def test_a_server_that_is_away_is_said(shop: make.Shop) -> None:
    away = TO_SOMEBODY | {"EMAIL_BACKEND": f"{__name__}.NoServer"}
    with override_settings(**away), pytest.raises(CommandError, match="nobody there"):
        sent()


# --- The bars


def test_a_bar_is_as_long_as_its_share() -> None:
    half = BeautifulSoup(bars.bar(0.5, title="x", mark=2.0), "html.parser")
    box = half.select_one("rect")
    assert box
    assert float(str(box["width"])) == (bars.RIGHT - bars.LEFT) / 2
    across = half.select_one("path.bar-mark")
    assert across
    # What is beyond the end stands at it.
    assert str(across["d"]).startswith(f"M{bars.RIGHT:.0f} ")


def test_a_span_stands_where_its_days_do() -> None:
    drawn = bars.span(0, 0.5, 1, mark=0.25, title="x")
    dot = BeautifulSoup(drawn, "html.parser").select_one("circle")
    assert dot
    assert float(str(dot["cx"])) == (bars.LEFT + bars.RIGHT) / 2
