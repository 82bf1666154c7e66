"""How does QA swap a part at a desk, and what do both pages tell of it after?"""

from typing import Any

import pytest
from bs4 import BeautifulSoup
from django.test import Client

from tests import desk, make
from tests.floor.story import must_swap, swap_necks, take_back, tell
from tests.standing import kept
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.orders.models import Instrument, Part

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def soup(answer: Any) -> BeautifulSoup:
    return BeautifulSoup(answer.content.decode(), "html.parser")


def words(answer: Any) -> str:
    main = soup(answer).select_one("main")
    assert main
    return " ".join(main.get_text(" ").split())


@kept
def two(shop: make.Shop) -> tuple[Instrument, Instrument]:
    one, other = shop.instruments(2)
    return one, other


def address(instrument: Instrument) -> str:
    return f"/instrument/{instrument.serial}/swap/"


def choose(client: Client, mine: Part, other: str) -> Any:
    """Name both sides, as the form of the page does."""
    asked = {"part": mine.code, "with": other}
    return client.get(address(mine.instrument), asked)


def confirm(client: Client, shown: Any, **said: str) -> Any:
    form = soup(shown).select_one("form[method=post][action$='/swap/']")
    assert form, "The page does not offer to swap them."
    given = {str(i["name"]): str(i.get("value", "")) for i in form.select("input")}
    return client.post(str(form["action"]), {**given, **said})


@pytest.mark.twice
def test_qa_finds_the_way_and_nobody_else(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    here = f"/instrument/{two[0].serial}/"
    for who in ("qa", "lead", "planner", "joiner"):
        page = soup(desk.client(shop, who).get(here))
        ways = page.select(f"a[href='{address(two[0])}']")
        assert bool(ways) is (who == "qa")
    chosen = soup(desk.client(shop, "qa").get(address(two[0])))
    offered = [str(one["value"]) for one in chosen.select("#swap-part option")]
    parts = [shop.part(two[0], name) for name in ("BODY", "NECK", "ELECTRONICS")]
    assert offered == [part.code for part in parts]


@pytest.mark.twice
@pytest.mark.parametrize("named", ["serial", "tag", "scan", "wood", "own tag"])
def test_both_sides_stand_beside_each_other(
    shop: make.Shop, two: tuple[Instrument, Instrument], named: str
) -> None:
    """The other is found by its serial, and by whatever tag of it is at hand."""
    mine, theirs = (shop.part(one, "NECK") for one in two)
    shop.work(theirs, until="Fret")
    assert theirs.plank_set
    text = {
        "serial": two[1].serial.lower(),
        "tag": codes.grouped(theirs.code),
        "scan": codes.link(theirs.code, "https://shop.example"),
        "wood": theirs.plank_set.code,
        "own tag": shop.part(two[1], "ASSEMBLY").code,
    }[named]
    answer = choose(desk.client(shop, "qa"), mine, text)
    assert answer.status_code == 200
    mine_side, other_side = (
        " ".join(side.get_text(" ").split())
        for side in soup(answer).select(".swap-sides > section")
    )
    assert mine.plank_set
    for said in (two[0].serial, codes.grouped(mine.code), mine.plank_set.number):
        assert said in mine_side
    assert "0 of 2 done Rough" in mine_side
    for said in (two[1].serial, codes.grouped(theirs.code), theirs.plank_set.number):
        assert said in other_side
    assert "1 of 2 done Fret" in other_side
    assert "waiting Machining" in other_side


def test_a_swap_is_decided_and_told_on_both_pages(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    one, other = two
    mine, theirs = shop.part(one, "NECK"), shop.part(other, "NECK")
    qa = desk.client(shop, "qa")
    answer = confirm(qa, choose(qa, mine, other.serial), reason="suits its grain")
    assert answer.status_code == 302
    page = qa.get(answer["Location"])
    assert "Print both travelers and the parts’ tags anew" in desk.text_of(page)
    mine.refresh_from_db()
    assert mine.instrument == other
    for instrument, gone, came, there in (
        (one, mine, theirs, other),
        (other, theirs, mine, one),
    ):
        shown = qa.get(f"/instrument/{instrument.serial}/")
        text = words(shown)
        assert (
            f"Neck {codes.grouped(came.code)} came from {there.serial} , "
            f"{codes.grouped(gone.code)} went to {there.serial}"
        ) in text
        assert "suits its grain – Qa Cast" in text
        ways = {str(a["href"]) for a in soup(shown).select("#swaps-name ~ ul a")}
        place = instrument.position
        assert ways == {
            f"/instrument/{there.serial}/",
            f"/paper/travelers/?serial={instrument.serial}&serial={there.serial}",
            f"/paper/order/W001/tags.pdf?from={place}&to={place}",
            f"/paper/order/W001/tags.pdf?from={there.position}&to={there.position}",
        }
        branches = [li.b.get_text() for li in soup(shown).select(".parts li") if li.b]
        assert branches == ["Body", "Neck", "Electronics", "Assembly"]


@pytest.mark.twice
def test_what_was_done_to_a_part_is_found_where_it_is(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    """Readings, defects and holds go along; each page keeps what was told on it."""
    one, other = two
    mine, theirs = shop.part(one), shop.part(other)
    shop.work(mine, until="Glue")
    begun = Event.objects.filter(part=mine, kind="START").latest("seq")
    must_swap(shop, mine, theirs)
    qa = desk.client(shop, "qa")
    old = desk.page_of(qa.get(f"/instrument/{one.serial}/")).shown
    new = desk.page_of(qa.get(f"/instrument/{other.serial}/")).shown
    assert (len(old.readings), len(new.readings)) == (0, 1)
    told = {row.seq: row for row in new.events}
    assert told[begun.seq].elsewhere == one.serial
    assert told[begun.seq].operation == "Saw"
    stays = {row.seq: row for row in old.events}
    assert stays[begun.seq].operation == "Saw"
    assert not stays[begun.seq].elsewhere
    assert not any(row.can_be_undone for row in (*new.events, *old.events))
    body = next(row for row in new.branches if row.branch == "BODY")
    assert [step.by for step in body.steps[:2]] == ["Joiner Cast"] * 2
    text = words(qa.get(f"/instrument/{other.serial}/"))
    assert f"Saw while in {one.serial}" in text


@pytest.mark.parametrize("text", ["nothing like it", "P0000000"])
def test_what_names_nothing_is_said(
    shop: make.Shop, two: tuple[Instrument, Instrument], text: str
) -> None:
    mine = shop.part(two[0], "NECK")
    answer = choose(desk.client(shop, "qa"), mine, text)
    assert soup(answer).select_one("[data-shop-refusal]")
    assert not soup(answer).select("form[method=post][action$='/swap/']")
    assert soup(answer).select_one("#swap-with")


def test_what_cannot_be_swapped_is_shown_and_not_offered(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one) for one in two)
    assert shop.scan(Wish.START, theirs).accepted
    answer = choose(desk.client(shop, "qa"), mine, theirs.code)
    assert f"Saw of {two[1].serial} is in work." in words(answer)
    assert len(soup(answer).select(".swap-sides > section")) == 2
    assert not soup(answer).select("form[method=post][action$='/swap/']")


def test_what_came_between_is_heard_with_what_was_typed(
    shop: make.Shop, two: tuple[Instrument, Instrument]
) -> None:
    mine, theirs = (shop.part(one) for one in two)
    qa = desk.client(shop, "qa")
    shown = choose(qa, mine, theirs.code)
    begun = shop.scan(Wish.START, theirs)
    refused = confirm(qa, shown, reason="suits it")
    assert refused.status_code == 409
    assert "is in work." in words(refused)
    take_back(shop, begun)
    twice = choose(qa, mine, theirs.code)
    no_reason = confirm(qa, choose(qa, mine, theirs.code), reason=" ")
    assert no_reason.status_code == 422
    assert "A reason is needed" in words(no_reason)
    assert confirm(qa, no_reason, reason="suits it").status_code == 302
    # From another window, where they were shown as they were, it swaps nothing back.
    late = confirm(qa, twice, reason="suits it")
    assert late.status_code == 409
    assert f"belongs to {two[1].serial} now, not to {two[0].serial}" in words(late)
    mine.refresh_from_db()
    assert mine.instrument == two[1]


@pytest.mark.parametrize("left_out", ["part", "with", "of", "to", "event_id"])
def test_a_form_without_its_fields_is_refused(
    shop: make.Shop, two: tuple[Instrument, Instrument], left_out: str
) -> None:
    mine, theirs = (shop.part(one) for one in two)
    qa = desk.client(shop, "qa")
    answer = confirm(qa, choose(qa, mine, theirs.code), **{left_out: ""})
    assert answer.status_code == 422
    assert b"kit.form_wrong" in answer.content
    assert not Event.objects.exists()


def test_there_is_no_swap_of_what_is_not_there(shop: make.Shop) -> None:
    answer = desk.client(shop, "qa").get("/instrument/X99999/swap/")
    assert answer.status_code == 404


def test_both_pages_cost_the_same_however_much_was_recorded() -> None:
    told = tell()
    shop, qa = told.shop, desk.client(told.shop, "qa")
    fresh, other = shop.instruments(2)
    must_swap(shop, shop.part(fresh, "NECK"), shop.part(other, "NECK"))
    few = desk.queries_of(qa, f"/instrument/{fresh.serial}/")
    many: list[Any] = [desk.queries_of(qa, f"/instrument/{told.halfway.serial}/")]
    for one, another in (shop.instruments(2), shop.instruments(2)):
        swap_necks(shop, one, another)
        must_swap(shop, shop.part(one, "BODY"), shop.part(another, "BODY"))
        many.append(desk.queries_of(qa, f"/instrument/{one.serial}/"))
    assert max(many) <= few + 1
