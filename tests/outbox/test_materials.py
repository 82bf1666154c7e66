"""Does a tablet know its batches and pieces without network, and is it believed?"""

from datetime import timedelta

import pytest

from tests import make
from tests.floor import story
from tests.outbox.tablet import Outbox
from travelers.floor.models import MaterialUse
from travelers.floor.rules import Wish

pytestmark = pytest.mark.django_db


@pytest.fixture
def outbox() -> Outbox:
    return Outbox(make.shop(uses=True)).enter()


def test_it_tells_of_the_batches_that_stand_here_and_those_that_may_come(
    outbox: Outbox,
) -> None:
    shop = outbox.shop
    story.at(shop, shop.part(shop.instrument()), "Glue")
    first, other = shop.batch(), shop.batch()
    old = shop.batch(expires_on=shop.now.date() - timedelta(days=1))
    shop.batch("LACQUER")
    shop.bring(first, "CLAMPS")
    outbox.station = "CLAMPS"
    told = outbox.due().json()
    assert told["chosen"] == {str(first.material_id): first.code}
    known = {one["code"]: (one["number"], one["over"]) for one in told["batches"]}
    assert known == {
        first.code: (first.number, False),
        other.code: (other.number, False),
        old.code: (old.number, True),
    }
    (line,) = told["lines"].values()
    assert line["batches"] == [{"material": first.material_id, "name": "Hide glue"}]


def test_it_is_told_again_when_another_batch_came(outbox: Outbox) -> None:
    shop = outbox.shop
    story.at(shop, shop.part(shop.instrument()), "Glue")
    outbox.station = "CLAMPS"
    first = outbox.due()
    mark = {"If-None-Match": first["ETag"]}
    assert outbox.due(**mark).status_code == 304
    shop.bring(shop.batch(), "CLAMPS")
    assert outbox.due(**mark).status_code == 200


def test_it_tells_which_pieces_are_built_in(outbox: Outbox) -> None:
    shop = outbox.shop
    solder = story.at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, solder)
    shop.must(Wish.USE, solder, serial="PU-1")
    outbox.station = "BENCH"
    told = outbox.due().json()
    (part,) = told["parts"]
    (line,) = told["lines"].values()
    (need,) = line["serials"]
    assert (need["name"], need["pieces"]) == ("Pickup", 2)
    assert part["steps"][0]["serials"] == {str(need["id"]): ["PU-1"]}


def test_a_kept_serial_number_and_a_brought_batch_come_in(outbox: Outbox) -> None:
    shop = outbox.shop
    solder = story.at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, solder)
    glue = story.at(shop, shop.part(shop.instrument()), "Glue")
    stood, brought = shop.batch(), shop.batch()
    shop.bring(stood, "CLAMPS")
    shop.must(Wish.START, glue)
    shop.mate(glue)
    outbox.station = "BENCH"
    first = outbox.send([outbox.press("USE", solder, serial="pu 7")])
    outbox.station = "CLAMPS"
    second = outbox.send([outbox.press("FINISH", glue, batches=brought.code)])
    assert [one["accepted"] for one in (*first, *second)] == [True, True]
    uses = MaterialUse.objects.order_by("pk")
    assert [(use.serial, use.batch) for use in uses] == [
        ("", stood),
        ("PU-7", None),
        ("", brought),
    ]
