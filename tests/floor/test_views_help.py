"""Does a station's help name the lead, and hold a part until they come?"""

from datetime import timedelta

import pytest

from tests import make
from tests.floor.tablet import Tablet, events
from travelers.floor import queries
from travelers.floor.rules import Wish
from travelers.orders.models import Part
from travelers.shop.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def another_lead(name: str) -> Person:
    return Person.objects.create_user(
        name.lower(), first_name=name, initials=name[:2], is_lead=True
    )


@pytest.mark.point(20)
@pytest.mark.twice
def test_whoever_was_seen_last_stands_first(shop: make.Shop, body: Part) -> None:
    another_lead("Ada")
    (first, second) = queries.leads(at=shop.now)
    assert (first.name, first.at, second.name) == ("Ada", None, "Lead Cast")
    shop.scan(Wish.HOLD, body, by="lead", reason="knot", only_part=True)
    shop.later(hours=1)
    (first, second) = queries.leads(at=shop.now)
    assert (first.name, first.station) == ("Lead Cast", "Saw")
    assert first.at == shop.now - timedelta(hours=1)
    assert (second.name, second.at) == ("Ada", None)


@pytest.mark.point(20)
def test_who_was_seen_yesterday_or_has_left_is_not_said_to_be_here(
    shop: make.Shop, body: Part
) -> None:
    left = another_lead("Ada")
    shop.scan(Wish.HOLD, body, by="lead", reason="knot", only_part=True)
    shop.later(hours=13)
    Person.objects.filter(pk=left.pk).update(is_active=False)
    (lead,) = queries.leads(at=shop.now)
    assert (lead.name, lead.at, lead.station) == ("Lead Cast", None, "")


@pytest.mark.point(20)
def test_help_leads_from_the_part_and_back_to_it(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body).follow("Lead, help")
    assert tablet.status == 200
    assert "Lead Cast" in tablet.text
    assert body.instrument.serial in tablet.text
    back = tablet.follow("Back to the part")
    assert back.title == "Saw"
    assert back.buttons["Start"] is True


@pytest.mark.point(20)
def test_a_part_is_held_from_help(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body).follow("Lead, help")
    form = tablet.form(".help-part form")
    held = tablet.submit(form, reason="the grain runs out")
    assert "has been held since" in held.text
    assert events() == [("HOLD", True, "")]


@pytest.mark.parametrize(
    "asked", ["", "?code=P7777770", "?code=%00&step=x", "?code=P000010F&step=9999999"]
)
def test_help_is_there_whatever_the_address_says(shop: make.Shop, asked: str) -> None:
    tablet = Tablet(shop, "SAW").open(f"help/{asked}")
    assert tablet.status == 200
    assert "Call the lead" in tablet.text
    assert tablet.page.select(".help-part") == []


@pytest.mark.twice
def test_a_shop_without_a_lead_says_so(shop: make.Shop) -> None:
    Person.objects.update(is_lead=False)
    tablet = Tablet(shop, "SAW").open("help/")
    assert "Nobody is entered as lead" in tablet.text


def test_what_left_the_floor_is_not_offered_for_a_hold(shop: make.Shop) -> None:
    part = shop.part(shop.instrument())
    shop.must(Wish.SCRAP, shop.step_of(part), by="qa", reason="split")
    tablet = Tablet(shop, "SAW").open(f"help/?code={part.code}")
    assert part.instrument.serial in tablet.text
    assert tablet.page.select(".help-part form") == []


def test_the_help_of_no_station_is_not_there(shop: make.Shop) -> None:
    assert Tablet(shop, "NOWHERE").open("help/").status == 404
