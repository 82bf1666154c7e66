"""Does a tablet take along what its station needs, and no more than that?"""

import re
from uuid import uuid4

import pytest
import time_machine
from bs4 import BeautifulSoup
from django.db import connection
from django.templatetags.static import static
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import client, released
from tests.floor import story
from tests.outbox.tablet import Outbox
from travelers.floor.actions import Target, pin
from travelers.floor.rules import Wish
from travelers.outbox.queries.build import FILES
from travelers.shop.passes import read_pass

pytestmark = pytest.mark.django_db


def test_it_tells_what_can_be_done_here_in_a_row(outbox: Outbox) -> None:
    shop = outbox.shop
    outbox.station = "BOOTH"
    step = story.at(shop, shop.part(shop.instrument()), "Lacquer")
    told = outbox.due().json()
    (part,) = told["parts"]
    assert (part["code"], part["branch"]) == (step.part.code, "BODY")
    assert [one["title"] for one in part["steps"]] == [
        "Lacquer 1/3",
        "Lacquer 2/3",
        "Lacquer 3/3",
    ]
    assert [one["state"] for one in part["steps"]] == ["READY", "WAITING", "WAITING"]
    line = told["lines"][str(part["steps"][0]["line"])]
    assert (line["rest"], line["longest"]) == (4 * 3600, 48 * 3600)
    ((code, name, card),) = told["kinds"]["BODY"]
    assert (code, name, card[0]) == ("RUN", "run", "D")
    assert "<svg" in told["pictures"]["body solid"]


def test_it_tells_checks_limits_gauges_signs_and_what_was_read(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Machine")
    shop.must(Wish.START, step)
    shop.must(Wish.READ, step, readings=[shop.reading(step, "56.31", "caliper")])
    outbox.station = "CUTTER"
    told = outbox.due().json()
    (part,) = told["parts"]
    (check_id,) = part["steps"][0]["checks"]
    check = told["checks"][str(check_id)]
    assert (check["lower"], check["upper"], check["unit"]) == (56.05, 56.2, "mm")
    assert "data-shop-lower" in check["bar"]
    assert part["steps"][0]["readings"] == {
        f"{check_id}/1": {"value": "56.31", "inside": False}
    }
    assert {one["name"]: one["overdue"] for one in told["gauges"]} == {
        "caliper": False,
        "old caliper": True,
    }
    story.at(shop, shop.part(shop.instrument()), "Saw")
    outbox.station = "SAW"
    assert "<svg" in outbox.due().json()["signs"]["W022"]


def test_a_join_tells_its_mates_and_a_held_part_that_it_is(outbox: Outbox) -> None:
    shop = outbox.shop
    step = story.at(shop, shop.part(shop.instrument()), "Glue")
    outbox.station = "CLAMPS"
    (part,) = outbox.due().json()["parts"]
    assert len(part["mates"]) == 2
    assert not part["held"]
    shop.must(Wish.HOLD, step, reason="wet", only_part=True)
    assert outbox.due().json()["parts"][0]["held"]


def test_what_waits_for_another_branch_is_not_offered(outbox: Outbox) -> None:
    shop = outbox.shop
    made = shop.instrument()
    outbox.station = "BENCH"
    titles = [
        [step["title"] for step in part["steps"]]
        for part in outbox.due().json()["parts"]
    ]
    assert titles == [["Solder"]]
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(made, branch))
    titles = sorted(
        [step["title"] for step in part["steps"]]
        for part in outbox.due().json()["parts"]
    )
    # The neck can be joined; the harness waits for what is soldered.
    assert titles == [["Neck joint"], ["Solder"]]


def test_it_is_told_again_only_when_something_happened(outbox: Outbox) -> None:
    step = story.at(outbox.shop, outbox.shop.part(outbox.shop.instrument()), "Saw")
    first = outbox.due()
    mark = {"If-None-Match": first["ETag"]}
    again = outbox.due(**mark)
    assert (again.status_code, again.content) == (304, b"")
    assert int(again["Shop-Time"]) == round(outbox.shop.now.timestamp() * 1000)
    outbox.shop.must(Wish.START, step)
    assert outbox.due(**mark).status_code == 200
    outbox.enter("lead")
    assert outbox.due(**{"If-None-Match": first["ETag"]}).status_code == 200


def test_its_pass_is_the_readers_own(outbox: Outbox) -> None:
    told = outbox.due().json()
    held = read_pass(told["pass"])
    assert held
    assert held.person_id == told["person"] == outbox.shop.cast.joiner.pk
    outbox.client = Client()
    told = outbox.enrolled().due().json()
    assert (told["pass"], told["person"]) == ("", None)


def test_more_parts_cost_no_more_questions(shop: make.Shop) -> None:
    outbox = Outbox(shop).enter()
    counts = []
    for quantity in (1, 12):
        for one in released(shop, quantity):
            story.at(shop, shop.part(one), "Saw")
        outbox.due()
        with CaptureQueriesContext(connection) as caught:
            assert outbox.due().status_code == 200
        counts.append(len(caught))
    assert counts[0] == counts[1]
    assert counts[1] <= 20


def test_a_whole_page_carries_the_pass_and_a_piece_none(outbox: Outbox) -> None:
    url = "/station/SAW/"
    page = BeautifulSoup(outbox.client.get(url).content.decode(), "html.parser")
    root = page.select_one("#outbox")
    assert root
    held = read_pass(str(root["data-pass"]))
    assert held
    assert held.person_id == outbox.shop.cast.joiner.pk
    piece = outbox.client.get(
        url, headers={"HX-Request": "true", "HX-Target": "scene"}
    ).content.decode()
    assert "data-pass" not in piece


def test_the_worker_keeps_what_the_page_is_made_of(shop: make.Shop) -> None:
    """Every file of the page, each once, under the name of this build."""
    page = client(shop, "joiner").get("/station/SAW/").content.decode()
    named = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', page))
    assert {static(name) for name in FILES} == named
    answer = Client().get("/sw.js")
    source = answer.content.decode()
    assert all(f'"{name}"' in source for name in named)
    assert answer["Cache-Control"] == "no-cache"
    assert answer["Content-Type"] == "text/javascript"


def test_without_network_the_list_stands_as_it_stood_with_reasons(
    outbox: Outbox,
) -> None:
    """The order, and what is said of each place, are those of the page."""
    shop = outbox.shop
    shop.instruments(2)
    last = shop.instruments(1)[0]
    held = shop.part(shop.instrument())
    shop.scan(Wish.HOLD, held, by="lead", reason="knot", only_part=True)
    pin(
        uuid=uuid4(),
        target=Target(last.serial, station="SAW"),
        reason="for the fair",
        until_on=shop.now.date(),
        by=shop.cast.planner,
        at=shop.now,
    )
    with time_machine.travel(shop.now, tick=False):
        page = BeautifulSoup(
            outbox.client.get("/station/SAW/").content.decode(), "html.parser"
        )
    shown = []
    for row in page.select(".lists-ready .queue li"):
        link = row.select_one("a")
        why = [one.get_text(strip=True) for one in row.select(".row-why > *")]
        assert link
        code = str(link["href"]).partition("code=")[2].partition("&")[0]
        shown.append((code, why[:2] if len(why) == 3 else ["", ""]))
    told = [
        (part["code"], [part["why"], part["wanted"]])
        for part in outbox.due().json()["parts"]
    ]
    assert told == shown
    assert told[0][1][0] == "put first: for the fair"
    assert told[-1] == (held.code, ["", ""])
