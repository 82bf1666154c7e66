"""What does a station show before and after a scan?"""

from datetime import timedelta

import pytest
from django.urls import reverse

from tests import desk, make
from tests.floor.tablet import PIECE, Tablet, clock, events, plain, swapped
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.kit.news import end_of_day
from travelers.lumber.models import Piece
from travelers.orders.models import Part
from travelers.shop.actions import change_cutter

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def test_the_list_shows_what_to_take_next_and_why(shop: make.Shop) -> None:
    first, second = shop.part(shop.instrument()), shop.part(shop.instrument())
    order = second.instrument.order
    order.due_on -= timedelta(days=60)
    order.save(update_fields=["due_on"])
    shop.later(hours=3)
    tablet = Tablet(shop, "SAW").open()
    rows = [" ".join(row.get_text(" ").split()) for row in tablet.page.select("li")]
    assert len(rows) == 4
    assert rows[0].startswith(f"Take this one next {second.instrument.serial} body")
    # Thirty days of drying and curing come after it, and the neck has none.
    assert "done here by 3 Jun due 3 Jul waits 3 h 0 min" in rows[0]
    assert rows[1].startswith(f"{second.instrument.serial} neck")
    assert rows[2].startswith(f"{first.instrument.serial} body")
    assert "done here by 2 Aug due 1 Sep" in rows[2]
    tablet.follow(second.instrument.serial)
    assert tablet.title == "Saw"


def test_the_list_shows_what_is_in_work_and_what_lies_here(
    shop: make.Shop, body: Part
) -> None:
    other = shop.part(shop.instrument(), "NECK")
    shop.must(Wish.START, shop.step_of(other))
    assert "In work here" in Tablet(shop, "SAW").open().text
    assert "in work for 0 min" in Tablet(shop, "SAW").open().text
    shop.work(body, until="Dry")
    shop.must(Wish.LOAD, shop.step_of(body))
    room = Tablet(shop, "ROOM").open()
    assert "Lies here 0 may come out · 2 places free" in room.text
    until = shop.now + timedelta(days=10)
    assert f"until 20 Mar, {clock(until)}" in room.text
    shop.later(days=10, minutes=1)
    assert "1 may come out" in room.open().text
    assert "may come out lies 10 d 0 h" in room.text


def test_what_is_held_stands_last_and_says_so(shop: make.Shop) -> None:
    first, second = shop.part(shop.instrument()), shop.part(shop.instrument())
    shop.scan(Wish.HOLD, first, by="lead", reason="knot", only_part=True)
    rows = Tablet(shop, "SAW").open().page.select("li")
    assert "held: leave it" in rows[-1].get_text(" ")
    assert first.instrument.serial in rows[-1].get_text(" ")
    assert second.instrument.serial not in rows[-1].get_text(" ")


def test_the_list_looks_for_news_and_hears_nothing_when_there_is_none(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").open()
    again = str(tablet.form(".lists")["hx-get"])
    assert tablet.open(again, **PIECE).status == 204
    assert tablet.answer.content == b""
    shop.must(Wish.START, shop.step_of(body))
    assert tablet.open(again, **PIECE).status == 200
    again = str(tablet.form(".lists")["hx-get"])
    assert tablet.open(again, **PIECE).status == 204
    shop.later(minutes=4)
    assert tablet.open(again, **PIECE).status == 204
    # What makes no word of its own: a name, a due date.
    shop.later(minutes=1)
    assert tablet.open(again, **PIECE).status == 200


def test_a_list_knows_when_it_changes_by_itself(shop: make.Shop, body: Part) -> None:
    """A dwell is over, a press is the lead's to take back, a day ends."""
    shop.work(body, until="Dry")
    shop.must(Wish.LOAD, shop.step_of(body))
    shop.later(days=10, minutes=-2)
    _hears_at(shop, "ROOM", timedelta(minutes=2), "0 may come out", "1 may come out")
    neck = shop.step_of(shop.part(body.instrument, "NECK"))
    shop.must(Wish.START, neck)
    shop.later(minutes=8)
    _hears_at(shop, "SAW", timedelta(minutes=2), "takes back: start", "for 10 min")
    left = end_of_day(shop.now) - shop.now
    shop.later(seconds=left.total_seconds() - 120)
    _hears_at(shop, "SAW", timedelta(minutes=2), "In work here", "In work here")


def _hears_at(
    shop: make.Shop, station: str, after: timedelta, before: str, then: str
) -> None:
    """Fail where a screen hears of a change before its moment, or not with it."""
    tablet = Tablet(shop, station).open()
    assert before in tablet.text
    again = str(tablet.form(".lists")["hx-get"])
    shop.later(seconds=int(after.total_seconds()) - 1)
    assert tablet.open(again, **PIECE).status == 204
    shop.later(seconds=2)
    assert tablet.open(again, **PIECE).status == 200
    assert then in tablet.text


def test_a_list_hears_that_a_cutter_was_changed(shop: make.Shop) -> None:
    tablet = Tablet(shop, "CUTTER").open()
    again = str(tablet.form(".lists")["hx-get"])
    assert tablet.open(again, **PIECE).status == 204
    change_cutter(
        station_id=shop.cast.stations["CUTTER"].pk,
        head="router",
        number="C-1",
        life_parts=100,
        by=shop.cast.joiner,
        at=shop.now,
    )
    assert tablet.open(again, **PIECE).status == 200
    assert "C-1" in tablet.text


def test_a_screen_opens_by_itself_when_the_time_is_over_that_stands_in_the_way(
    shop: make.Shop, body: Part
) -> None:
    shop.work(body, until="Cure")
    shop.must(Wish.LOAD, shop.step_of(body))
    tablet = Tablet(shop, "RACK").scan(body)
    # Longer than anybody may be signed in: no page waits for that.
    assert not tablet.page.select("[data-shop-due]")
    shop.later(days=20, seconds=-90)
    waits = tablet.scan(body).form("[data-shop-due]")
    assert waits["data-shop-due"] == "90"
    assert not tablet.buttons["Take out"]
    shop.later(seconds=90)
    tablet.open(str(waits["hx-get"]), **PIECE)
    assert tablet.buttons["Take out"]
    assert not tablet.page.select("[data-shop-due]")


def test_the_list_costs_the_same_however_long_it_is(shop: make.Shop) -> None:
    shop.instruments(2)
    few = desk.queries_of(Tablet(shop, "SAW").client, "/station/SAW/")
    shop.instruments(5)
    assert desk.queries_of(Tablet(shop, "SAW").client, "/station/SAW/") == few


def test_a_scan_shows_the_part_and_what_to_do(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    assert tablet.status == 200
    assert tablet.title == "Saw"
    assert f"{body.instrument.serial} Wren, Tide Green" in tablet.text
    assert f"Body {codes.grouped(body.code)}" in tablet.text
    assert "The blade turns on." in tablet.text
    assert tablet.page.select_one("#scene svg.outline")
    assert tablet.buttons["Start"]
    assert events() == []


def test_a_part_can_be_scanned_as_it_is_printed_or_typed(
    shop: make.Shop, body: Part
) -> None:
    link = codes.link(body.code, "https://tags.example")
    typed = codes.grouped(body.code).lower().replace("0", "o")
    for text in (link, typed, f"  {body.code} "):
        assert Tablet(shop, "SAW").scan(text).title == "Saw"


def test_a_piece_or_its_set_means_the_part_it_is_in(
    shop: make.Shop, body: Part
) -> None:
    piece = Piece.objects.filter(plank_set=body.plank_set).first()
    assert piece
    assert body.plank_set
    for code in (piece.code, body.plank_set.code):
        assert Tablet(shop, "SAW").scan(code).title == "Saw"


@pytest.mark.parametrize(
    ("text", "refusal", "says"),
    [
        ("P0000", "floor.code_short", "Characters missing: 3"),
        ("P000010FP000010F", "floor.code_long", "one symbol at a time"),
        ("https://shop.example/p/4711", "floor.code_foreign", "not one of the shop's"),
        ("mahogany!", "floor.code_foreign", "not one of the shop's"),
        ("x" * 512, "floor.code_long", "too long"),
        ("P000010G", "floor.code_misread", "One character of P000010G"),
        (codes.make(4711), "floor.unknown_code", "has the code"),
    ],
)
def test_a_scan_that_names_nothing_says_why(
    shop: make.Shop, text: str, refusal: str, says: str
) -> None:
    tablet = Tablet(shop, "SAW").scan(text)
    assert tablet.status == 404
    assert refusal in tablet.text
    assert says in tablet.text
    assert tablet.follow("Back to the list").status == 200
    assert events() == []


def test_a_misread_code_offers_the_tags_that_are_near(
    shop: make.Shop, body: Part
) -> None:
    wrong = body.code[:-1] + ("X" if body.code[-1] != "X" else "Y")
    tablet = Tablet(shop, "SAW").scan(wrong)
    assert tablet.status == 404
    assert "Was it one of these?" in tablet.text
    assert tablet.follow(codes.grouped(body.code)).title == "Saw"


@pytest.mark.twice
def test_wood_of_no_instrument_is_left_with_its_set(shop: make.Shop) -> None:
    plank_set = shop.plank_set()
    plank = plank_set.plank
    for code, says in (
        (plank_set.code, f"made of plank set {plank_set.number} yet"),
        (plank.code, f"made of plank {plank.number} yet"),
        (plank_set.pieces.first().code, f"made of piece {plank_set.number}-A yet"),
    ):
        tablet = Tablet(shop, "SAW").scan(code)
        assert tablet.status == 404
        assert says in tablet.text


def test_the_tag_of_another_station_leads_there(shop: make.Shop) -> None:
    tablet = Tablet(shop, "SAW").scan(shop.cast.stations["BOOTH"].tag)
    assert tablet.status == 303
    assert tablet.answer.headers["Location"] == "/station/BOOTH/"


def test_a_gauge_is_chosen_before_any_part_is_scanned(shop: make.Shop) -> None:
    tablet = Tablet(shop, "CUTTER").scan(shop.cast.gauges["caliper"].tag)
    assert tablet.status == 200
    said = "caliper is at hand for all its checks, due 30 June 2027."
    assert said in tablet.text


def test_a_gauge_scanned_beside_a_part_leaves_the_part_on_the_screen(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    tablet.scan(shop.cast.gauges["caliper"].tag)
    assert "caliper is at hand" in tablet.text
    assert body.instrument.serial in tablet.text
    assert tablet.title == "Saw"


def test_finished_and_scrapped_instruments_say_so(shop: make.Shop, body: Part) -> None:
    for branch in ("BODY", "NECK", "ELECTRONICS", "ASSEMBLY"):
        shop.work(shop.part(body.instrument, branch))
    serial = body.instrument.serial
    tablet = Tablet(shop, "SAW").scan(body)
    assert f"Instrument {serial} left the floor" in tablet.text
    assert "finished" in tablet.text
    assert "show it to the lead" in tablet.text
    assert tablet.buttons == {}
    other = shop.part(shop.instrument())
    shop.scan(Wish.SCRAP, other, by="qa", reason="split")
    assert "scrapped" in Tablet(shop, "SAW").scan(other).text


def test_a_branch_that_waits_for_another_names_it(shop: make.Shop, body: Part) -> None:
    neck = shop.part(body.instrument, "NECK")
    shop.work(neck)
    tablet = Tablet(shop, "BENCH").scan(neck)
    assert tablet.title == "Neck joint"
    assert not tablet.buttons["Start"]
    assert "Neck joint comes later; still open before it: Saw." in tablet.text


def test_whoever_has_a_role_may_look_and_is_told_who_may_work(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW", by="planner").scan(body)
    assert tablet.status == 200
    assert not tablet.buttons["Start"]
    assert "Planner Cast does not do this kind of work here." in tablet.text
    assert Tablet(shop, "SAW", by="outsider").open().status == 403


def test_who_is_not_signed_in_comes_back_to_the_scan(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW", by="").open(f"?code={body.code}")
    assert tablet.status == 302
    assert tablet.answer.headers["Location"] == (
        f"/sign-in/?next=/station/SAW/%3Fcode%3D{body.code}"
    )


def test_an_unknown_station_is_not_there(shop: make.Shop) -> None:
    assert Tablet(shop, "NOWHERE").open().status == 404


def test_the_piece_swapped_in_is_the_page_reloaded(shop: make.Shop, body: Part) -> None:
    whole = Tablet(shop, "SAW").open()
    for url in (f"?code={body.code}", "?code=P000010G", ""):
        piece = Tablet(shop, "SAW").open(url, **PIECE)
        assert not piece.page.select("html")
        shown = str(piece.answer.headers["HX-Push-Url"])
        if "P000010G" in url:
            continue
        reloaded = Tablet(shop, "SAW").open(shown)
        assert swapped(whole.page, piece.page) == plain(reloaded.page)


def test_going_back_gives_the_whole_page(shop: make.Shop, body: Part) -> None:
    asked = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    back = Tablet(shop, "SAW").open(f"?code={body.code}", **asked)
    assert back.page.select_one("html")
    assert not back.page.select("[hx-swap-oob]")
    assert plain(back.page) == plain(Tablet(shop, "SAW").open(back.url).page)


def test_a_scan_answers_by_shape_and_word(shop: make.Shop, body: Part) -> None:
    ready = Tablet(shop, "SAW").scan(body).form("[data-shop-answer]")
    assert ready["data-shop-answer"] == "accepted"
    assert ready["data-shop-word"] == "Saw"
    other = Tablet(shop, "BOOTH").scan(body).form("[data-shop-answer]")
    assert other["data-shop-answer"] == "look"
    nothing = Tablet(shop, "SAW").scan("P000010G").form("[data-shop-answer]")
    assert nothing["data-shop-answer"] == "refused"
    assert (
        not Tablet(shop, "SAW")
        .open(f"?code={body.code}")
        .page.select("[data-shop-answer]")
    )


def test_looking_writes_nothing(shop: make.Shop, body: Part) -> None:
    before = Event.objects.count()
    for url in ("", f"?code={body.code}", "?code=x", f"?code={body.code}&check=1"):
        Tablet(shop, "SAW").open(url)
    assert Event.objects.count() == before


def test_the_address_is_the_one_that_is_printed(shop: make.Shop) -> None:
    assert reverse("floor:tag", args=["P000010F"]) == "/T/P000010F"
