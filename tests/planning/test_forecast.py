"""Do the pages say what the forecast says, and the forecast what the floor says?"""

import re
import sys
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.utils import timezone

from tests import make
from tests.desk import client, main_of, page_of, queries_of, released, text_of
from travelers.floor.rules import Wish
from travelers.formulas import forecast as fc
from travelers.kit.refusals import Refused
from travelers.orders.models import Step
from travelers.planning.actions import (
    drop_what_if,
    keep_what_if,
    make_forecast,
    try_what_if,
)
from travelers.planning.models import Forecast, WhatIf
from travelers.planning.queries.forecast import floor_now, most_limiting
from travelers.planning.queries.forecast.told import BY_S, MONTH_S

pytestmark = [pytest.mark.django_db, pytest.mark.once]
ZONE = ZoneInfo("Europe/Berlin")
HTMX = {"HX-Request": "true", "HX-Target": "limits"}
DAY_S = 86_400


def made(shop: make.Shop, **more: Any) -> Forecast:
    told = {"at": shop.now, "seed": 3, "futures": 20, "zone": ZONE} | more
    return make_forecast(**told)


@pytest.fixture
def clock(shop: make.Shop, monkeypatch: pytest.MonkeyPatch) -> make.Shop:
    """Let screens read the shop's own clock."""
    monkeypatch.setattr(timezone, "now", lambda: shop.now)
    return shop


def crowd(shop: make.Shop, count: int = 9) -> None:
    """Release nine bodies at once: the room has places for three of them.

    Each lies there for ten days, so that three wait for ten days and three for twenty.
    """
    released(shop, count)


def test_a_forecast_is_kept_with_all_that_makes_it_known(shop: make.Shop) -> None:
    released(shop, 2)
    one = made(shop)
    again = made(shop, at=shop.now)
    assert (again.digest, again.results) == (one.digest, one.results)
    assert (one.seed, one.futures, one.made_at) == (3, 20, shop.now)
    shop.later(minutes=5)
    assert made(shop).digest != one.digest


@pytest.mark.twice
def test_the_last_forecast_of_a_day_is_kept(shop: make.Shop) -> None:
    released(shop, 1)
    made(shop)
    shop.later(hours=2)
    last = made(shop)
    shop.later(days=1)
    next_day = made(shop)
    assert list(Forecast.objects.order_by("made_at")) == [last, next_day]


@pytest.mark.usefixtures("trusted")
def test_promises_are_the_quantiles_of_the_futures(shop: make.Shop) -> None:
    released(shop, 2)
    released(shop, 1)
    told = made(shop, futures=40).results
    line = floor_now(at=shop.now, zone=ZONE).line
    finishes = fc.simulate(line, 3, 40).finishes_s
    for n, row in enumerate(told["instruments"]):
        ordered = sorted(finishes[:, n])
        # Between the 20th and the 21st of 40 lies the half.
        assert row["by_s"][0] == pytest.approx((ordered[19] + ordered[20]) / 2)
        assert ordered[31] <= row["by_s"][1] <= ordered[32]
        late = sum(end > row["due_s"] for end in ordered) / 40
        assert row["late_share"] == late
    whole = sorted(max(one[0], one[1]) for one in finishes)
    assert told["orders"][0]["by_s"][0] == pytest.approx((whole[19] + whole[20]) / 2)


def test_an_order_is_late_from_the_end_of_its_due_day(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    due = made(shop).results["orders"][0]["due_s"]
    end = (shop.now + timedelta(seconds=due)).astimezone(ZONE)
    assert end == datetime(2026, 9, 2, tzinfo=ZONE)
    assert one.order.due_on.isoformat() == "2026-09-01"


@pytest.mark.twice
def test_what_waits_now_is_what_is_ready_and_not_held(shop: make.Shop) -> None:
    first, second, _ = released(shop, 3)
    shop.later(hours=3)
    shop.scan(Wish.HOLD, shop.part(first), by="qa", at="SAW", reason="x")
    shop.must(Wish.START, shop.step_of(shop.part(second)))
    told = {one["code"]: one for one in made(shop).results["stations"]}
    ready = Step.objects.filter(
        state="READY", station__code="SAW", instrument__held_at=None, part__held_at=None
    )
    assert told["SAW"]["waits_now"] == ready.count() == 3
    assert told["SAW"]["oldest_s"] == 3 * 3600


def test_the_station_with_too_few_places_is_named(clock: make.Shop) -> None:
    crowd(clock)
    results = made(clock).results
    assert most_limiting(results=results, count=1) == ["ROOM"]
    room = next(one for one in results["stations"] if one["code"] == "ROOM")
    # Nights and weekends shift it by a day or so.
    assert room["way_wait_s"] / DAY_S == pytest.approx(10, abs=1.5)
    answer = client(clock, "planner").get("/limits/")
    page = page_of(answer)
    assert (page.limit.code, page.limit.limits_pct) == ("ROOM", 100)
    assert "Help Room first" in main_of(answer)


def test_load_is_the_work_that_the_floor_still_holds(shop: make.Shop) -> None:
    """Nine bodies of ten minutes at the cutter, and nothing else there."""
    crowd(shop)
    told = {one["code"]: one for one in made(shop).results["stations"]}
    line = floor_now(at=shop.now, zone=ZONE).line
    left = [
        step.work.mean_s
        for job in line.jobs
        for step in job.steps[job.done :]
        if step.station == "CUTTER"
    ]
    assert sum(told["CUTTER"]["busy_h"]) == pytest.approx(sum(left) / 3600, rel=0.2)
    # Two places, five days of eight hours and a half.
    assert told["CUTTER"]["open_h"][1] == 2 * 5 * 8.5


def test_gains_are_told_apart_with_the_same_luck(shop: make.Shop) -> None:
    crowd(shop)
    told = made(shop, with_gains=True).results["gains"]
    place = next(
        one for one in told if (one["station"], one["change"]) == ("ROOM", "PLACE")
    )
    line = floor_now(at=shop.now, zone=ZONE).line
    here = fc.simulate(line, 3, 20).finishes_s
    there = fc.simulate(fc.with_more_places(line, "ROOM"), 3, 20).finishes_s
    assert place["sooner_s"][0] == pytest.approx((here - there).mean())
    by = ((there <= BY_S).sum() - (here <= BY_S).sum()) / 20 / (BY_S / MONTH_S)
    assert place["more"][0] == pytest.approx(by)
    assert place["sooner_s"][0] > 0
    assert {one["change"] for one in told} == {"HOUR", "PLACE", "REWORK"}


def test_the_page_asks_for_more_until_all_is_lived_through(clock: make.Shop) -> None:
    released(clock, 1)
    planner = client(clock, "planner")
    first = planner.get("/limits/")
    assert page_of(first).known is None
    assert 'hx-trigger="load"' in text_of(first)
    told = []
    for _ in range(3):
        answer = planner.post("/limits/", headers=HTMX)
        known = page_of(answer).known
        told.append((known.futures, known.has_gains, known.is_done))
    assert told == [(50, False, False), (1000, False, False), (1000, True, True)]
    assert 'hx-trigger="load"' not in text_of(answer)
    # The piece is what a reload shows.
    again = text_of(planner.get("/limits/"))
    piece = re.sub(r'value="[^"]{64}"', "", text_of(answer)).strip()
    assert piece in re.sub(r'value="[^"]{64}"', "", again)


def test_an_old_forecast_is_made_afresh_with_few_futures(clock: make.Shop) -> None:
    released(clock, 1)
    made(clock, futures=1000, with_gains=True)
    planner = client(clock, "planner")
    assert page_of(planner.get("/limits/")).known.is_done
    clock.later(minutes=16)
    assert not page_of(planner.get("/limits/")).known.is_done
    assert planner.post("/limits/").status_code == 302
    assert page_of(planner.get("/limits/")).known.futures == 50


def test_pages_ask_no_more_of_the_database_for_more_orders(clock: make.Shop) -> None:
    planner = client(clock, "planner")
    asked = []
    for count in (1, 6):
        released(clock, count)
        made(clock)
        asked.append(
            [queries_of(planner, f"/{url}/") for url in ("limits", "promises")]
        )
    assert asked[0] == asked[1]


def test_a_promise_says_why_it_is_not_sooner(clock: make.Shop) -> None:
    dries, waits, rests = released(clock, 3)
    clock.work(clock.part(dries), until="Dry")
    clock.must(Wish.LOAD, clock.step_of(clock.part(dries)))
    clock.work(clock.part(rests, "NECK"))
    clock.work(clock.part(rests), until="Lacquer")
    clock.do(clock.step_of(clock.part(rests)))
    made(clock)
    answer = client(clock, "lead").get(f"/promises/?order={dries.order.number}")
    rows = {row.name: row for row in page_of(answer).instruments}
    assert rows[dries.serial].because == "LIES"
    assert rows[dries.serial].station == "Room"
    assert rows[waits.serial].because == "QUEUE"
    assert (rows[rests.serial].because, rows[rests.serial].mate) == ("RESTS", "NECK")
    said = " ".join(re.sub(r"<[^>]+>", " ", main_of(answer)).split())
    assert "waits at Saw for Saw since" in said
    assert "the neck is done and waits for it" in said


def test_where_the_time_goes_adds_up_to_the_finish(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    row = made(shop).results["instruments"][0]
    why = row["reason"]
    parts = (why["work_s"], why["queue_s"], why["closed_s"], why["lies_s"])
    line = floor_now(at=shop.now, zone=ZONE).line
    mean = fc.simulate(line, 3, 20).finishes_s.mean()
    assert sum(parts) == pytest.approx(mean)
    assert one.serial == row["name"]


def test_the_load_is_drawn_with_its_numbers(clock: make.Shop) -> None:
    released(clock, 2)
    made(clock)
    planner = client(clock, "planner")
    for query in ("", "?dark"):
        answer = planner.get(f"/limits/load.svg{query}")
        assert answer["Content-Type"] == "image/svg+xml"
        assert "Hours taken, of 100 that places are open" in text_of(answer)


def test_without_numba_it_says_so(
    clock: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    released(clock, 1)
    monkeypatch.setitem(sys.modules, "numba", None)
    planner = client(clock, "planner")
    answer = planner.post("/limits/")
    assert answer.status_code == 503
    assert "planning.not_compiled" in text_of(answer)
    page = main_of(planner.get("/limits/"))
    assert "numba is not installed" in page
    assert "hx-trigger" not in page


def test_an_empty_floor_is_not_forecast(clock: make.Shop) -> None:
    with pytest.raises(Refused, match="nothing_open"):
        made(clock)
    with pytest.raises(CommandError, match="nothing on the floor"):
        call_command("forecast")
    page = client(clock, "planner").get("/limits/")
    assert "There is nothing on the floor to forecast." in main_of(page)
    assert "hx-trigger" not in main_of(page)


def test_the_night_forecasts_by_a_command(
    clock: make.Shop, capsys: pytest.CaptureFixture[str]
) -> None:
    released(clock, 1)
    call_command("forecast", "--futures", "10", "--seed", "9")
    one = Forecast.objects.get()
    assert (one.futures, one.seed, one.results["gains"] is None) == (10, 9, False)
    assert one.digest[:12] in capsys.readouterr().out


def test_a_change_is_named_tried_and_thrown_away(clock: make.Shop) -> None:
    crowd(clock)
    planner = client(clock, "planner")
    answer = planner.post(
        "/what-if/", {"name": "Six more", "station": "ROOM", "more_places": "6"}
    )
    one = WhatIf.objects.get()
    assert answer.url == f"/what-if/{one.pk}/"
    assert "not tried yet" in main_of(planner.get(answer.url))
    planner.post(answer.url)
    one.refresh_from_db()
    line = floor_now(at=clock.now, zone=ZONE).line
    told = fc.compare(line, fc.with_more_places(line, "ROOM", 6), 1, 200)
    assert (one.results or {})["finish_s"]["mean"] == pytest.approx(told.finish_s.mean)
    page = page_of(planner.get(answer.url))
    assert page.row.sooner_days[0] == pytest.approx(-told.finish_s.mean / DAY_S)
    # By hand: with three places bodies are cured on 13, 21 and 30 April, with nine all
    # on the 13th, since ten days in the room end on a Friday, a Monday and a Thursday.
    assert page.row.sooner_days[0] == pytest.approx((0 + 8 + 17) / 3, abs=0.5)
    assert "Room: places +6" in main_of(planner.get("/what-if/"))
    assert planner.post(f"/what-if/{one.pk}/drop/").status_code == 302
    assert not WhatIf.objects.exists()


def test_two_changes_do_not_have_one_name(clock: make.Shop) -> None:
    told = {"name": "A", "by": clock.cast.planner, "at": clock.now}
    keep_what_if(changes={"first": ["W001"]}, **told)
    with pytest.raises(Refused, match="what_if_taken"):
        keep_what_if(changes={"first": ["W002"]}, **told)
    released(clock, 1)
    sends = {"name": "A", "station": "SAW", "longer_h": "1"}
    answer = client(clock, "planner").post("/what-if/", sends)
    assert answer.status_code == 422
    assert "called A already" in main_of(answer)


@pytest.mark.twice
@pytest.mark.parametrize(
    ("sends", "said"),
    [
        ({"name": "A"}, "Say what would be otherwise."),
        ({"name": "A", "more_places": "1"}, "Say at which station."),
        (
            {"name": "A", "station": "SAW", "out_from": "2026-03-12"},
            "Say both days, the first one first, or neither.",
        ),
        (
            {
                "name": "A",
                "station": "SAW",
                "out_from": "2026-03-12",
                "out_until": "2026-03-11",
            },
            "Say both days, the first one first, or neither.",
        ),
    ],
)
def test_what_says_nothing_is_not_kept(
    clock: make.Shop, sends: dict[str, str], said: str
) -> None:
    answer = client(clock, "planner").post("/what-if/", sends)
    assert answer.status_code == 422
    assert said in main_of(answer)
    assert not WhatIf.objects.exists()


@pytest.mark.twice
def test_a_room_out_of_use_and_an_order_first_are_tried(clock: make.Shop) -> None:
    late, soon = released(clock, 3)[0].order, released(clock, 3)[0].order
    planner = client(clock, "planner")
    planner.post(
        "/what-if/",
        {
            "name": "Fire",
            "station": "SAW",
            "out_from": "2026-03-10",
            "out_until": "2026-03-23",
            "first": soon.number,
        },
    )
    one = WhatIf.objects.get()
    try_what_if(what_if_id=one.pk, at=clock.now, seed=1, futures=20, zone=ZONE)
    one.refresh_from_db()
    # Two weeks without a saw make everybody later, by about that.
    assert (one.results or {})["finish_s"]["mean"] == pytest.approx(
        14 * DAY_S, rel=0.25
    )
    said = main_of(planner.get(f"/what-if/{one.pk}/"))
    assert "out of use 2026-03-10 – 2026-03-23" in said
    assert f"order {soon.number} first" in said
    assert late.number in said


def test_what_is_gone_is_not_tried(clock: make.Shop) -> None:
    with pytest.raises(Refused, match="not_found"):
        try_what_if(what_if_id=7, at=clock.now, seed=1, futures=2, zone=ZONE)
    drop_what_if(what_if_id=7)
    assert client(clock, "planner").get("/what-if/7/").status_code == 404


def test_only_planner_lead_and_admin_are_led_there(shop: make.Shop) -> None:
    (one,) = released(shop, 1)
    for who, is_led in (("planner", True), ("lead", True), ("joiner", False)):
        opened = client(shop, who)
        for url in ("/", "/board/"):
            assert ("/limits/" in text_of(opened.get(url))) is is_led, (who, url)
        desk = text_of(opened.get(f"/instrument/{one.serial}/"))
        assert (f"/promises/?order={one.order.number}" in desk) is is_led, who
