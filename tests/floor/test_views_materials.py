"""How does a station ask for batches and serial numbers, and a desk keep batches?"""

from datetime import timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.desk import client, text_of
from tests.floor.story import at
from tests.floor.tablet import PIECE, Tablet, events
from travelers.floor.models import Batch, BatchAtStation, BatchHold, MaterialUse
from travelers.floor.rules import Wish
from travelers.formulas.cards import Command, code_of
from travelers.orders.models import Part, Step
from travelers.routes.models import Material
from travelers.shop.models import Cutter

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture
def shop(standing_with_uses: make.Shop) -> make.Shop:
    return standing_with_uses


@pytest.fixture
def glue(shop: make.Shop, body: Part) -> Step:
    """Give a glue-up that may begin, with no glue at the clamps yet."""
    step = at(shop, body, "Glue")
    shop.later(hours=1)
    return step


def bring(tablet: Tablet, batch: Batch) -> Tablet:
    """Scan a batch's label, and press what the screen offers where no script runs."""
    tablet.scan(batch.code)
    if tablet.status == 303:
        tablet.open(tablet.answer.headers["Location"])
    return tablet.submit(tablet.form("form.brings"))


def test_a_batch_is_asked_for_before_the_work_begins(
    shop: make.Shop, glue: Step
) -> None:
    tablet = Tablet(shop, "CLAMPS").scan(glue.part)
    assert not tablet.buttons["Start"]
    assert "Hide glue: scan the batch’s label" in tablet.text
    assert "Scan the label of the batch in use" in tablet.text
    batch = shop.batch(number="HG-7", expires_on=shop.now.date())
    bring(tablet, batch)
    assert "Hide glue, batch HG-7, is in use here; good until" in tablet.text
    assert tablet.title == "Glue"
    assert tablet.buttons["Start"]
    tablet.wish("START")
    assert tablet.status == 200


def test_to_look_at_a_label_changes_nothing(shop: make.Shop, glue: Step) -> None:
    batch = shop.batch()
    tablet = Tablet(shop, "CLAMPS").scan(glue.part).scan(batch.code)
    assert "Work with Hide glue, batch" in tablet.text
    assert not BatchAtStation.objects.exists()
    form = tablet.form("form.brings")
    # A script sends it by itself.
    assert form["hx-trigger"] == "load, submit"


@pytest.mark.twice
def test_a_batch_is_chosen_by_touch_too(shop: make.Shop, glue: Step) -> None:
    shop.batch(expires_on=shop.now.date() - timedelta(days=1))
    good = shop.batch()
    tablet = Tablet(shop, "CLAMPS").scan(glue.part)
    choice = tablet.form(".uses-other form")
    assert [one["value"] for one in choice.select("option")] == [good.code]
    tablet.submit(choice)
    assert tablet.buttons["Start"]
    assert BatchAtStation.objects.get().batch == good


def test_a_batch_is_brought_to_an_idle_station_and_stays(
    shop: make.Shop, glue: Step
) -> None:
    tablet = Tablet(shop, "CLAMPS").open()
    bring(tablet, shop.batch(number="HG-7"))
    assert "HG-7, is in use here from now on" in tablet.text
    other = Tablet(shop, "CLAMPS", by="finisher").scan(glue.part)
    assert other.buttons["Start"]
    assert "HG-7" in other.text


def test_another_material_is_refused_with_what_is_asked_for(
    shop: make.Shop, glue: Step
) -> None:
    tablet = Tablet(shop, "CLAMPS").scan(glue.part)
    tablet.scan(shop.batch("LACQUER", number="L-1").code)
    assert "Batch L-1 is Lacquer; Glue uses Hide glue." in tablet.text
    assert tablet.status == 409
    assert not tablet.page.select("form.brings")
    forged = tablet.client.post(
        "/station/CLAMPS/batch/",
        {"batch": shop.batch("LACQUER").code, "code": glue.part.code, "step": glue.pk},
    )
    assert forged.status_code == 409
    assert not BatchAtStation.objects.exists()


def test_a_held_batch_is_refused_and_one_that_is_over_needs_a_look(
    shop: make.Shop, glue: Step
) -> None:
    held = shop.batch(number="HG-1")
    client(shop, "qa").post(
        f"/materials/batch/{held.code}/hold/",
        {"event_id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "reason": "smells odd"},
    )
    tablet = Tablet(shop, "CLAMPS").scan(glue.part).scan(held.code)
    assert "Batch HG-1 of Hide glue is held since" in tablet.text
    over = shop.batch(number="HG-2", expires_on=shop.now.date() - timedelta(days=1))
    bring(tablet, over)
    assert "HG-2, was good until" in tablet.text
    assert not tablet.buttons["Start"]
    assert "Ask lead or QA" in tablet.text


def test_a_label_that_nobody_printed_is_unknown(shop: make.Shop, glue: Step) -> None:
    tablet = Tablet(shop, "CLAMPS").scan(glue.part)
    answer = tablet.client.post("/station/CLAMPS/batch/", {"batch": "B000010N"})
    assert answer.status_code == 404
    tablet.scan("B000010N")
    assert tablet.status == 404


@pytest.mark.twice
def test_a_plain_step_that_uses_a_batch_takes_two_presses(
    shop: make.Shop, glue: Step
) -> None:
    shop.bring(shop.batch(), "BOOTH")
    bring(Tablet(shop, "BOOTH").open(), shop.batch("LACQUER"))
    shop.bring(shop.batch(), "CLAMPS")
    coat = at(shop, glue.part, "Lacquer")
    shop.later(hours=5)
    tablet = Tablet(shop, "BOOTH").scan(coat.part).wish("START")
    shop.later(minutes=10)
    tablet.wish("FINISH")
    assert tablet.status == 200
    assert tablet.text.startswith("This step is done.")
    assert MaterialUse.objects.filter(need__material__code="LACQUER").count() == 2


@pytest.fixture
def solder(shop: make.Shop) -> Step:
    step = at(shop, shop.part(shop.instrument(), "ELECTRONICS"), "Solder")
    shop.must(Wish.START, step)
    return step


def test_a_scan_while_pieces_are_built_in_is_a_serial_number(
    shop: make.Shop, solder: Step
) -> None:
    tablet = Tablet(shop, "BENCH").scan(solder.part)
    label = tablet.page.select_one("#scan-form label")
    assert label
    assert label.get_text() == "Serial number: Pickup"
    assert not tablet.buttons["Done"]
    assert "Pickup 0/2" in tablet.text
    tablet.scan("pu 1001")
    assert tablet.status == 200
    assert "Its serial number is noted." in tablet.text
    assert "Pickup 1/2 PU-1001" in tablet.text
    tablet.scan("PU-1001")
    assert tablet.status == 409
    assert "was built into" in tablet.text
    tablet.scan("x")
    assert tablet.status == 422
    tablet.scan("PU-1002")
    assert tablet.buttons["Done"]
    tablet.wish("FINISH")
    assert tablet.status == 200


def test_our_own_tags_lead_on_while_serial_numbers_are_asked(
    shop: make.Shop, solder: Step
) -> None:
    tablet = Tablet(shop, "BENCH").scan(solder.part)
    before = len(events())
    tablet.scan(shop.cast.gauges["caliper"].tag)
    assert tablet.status == 303
    tablet.open(tablet.answer.headers["Location"])
    assert "caliper is at hand" in tablet.text
    assert tablet.title == "Solder"
    tablet.scan(solder.part)
    assert tablet.status == 303
    assert len(events()) == before


@pytest.mark.twice
def test_a_card_ends_the_work_while_serial_numbers_are_asked(
    shop: make.Shop, solder: Step
) -> None:
    shop.build_in(solder)
    shop.must(
        Wish.UNDO, solder, event=str(MaterialUse.objects.latest("pk").event.event_id)
    )
    tablet = Tablet(shop, "BENCH").scan(solder.part)
    tablet.scan(code_of(Command.DONE))
    assert tablet.status == 409
    assert "Pickup 2/2" in tablet.text


def test_a_step_that_uses_nothing_asks_of_no_batch(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    tablet.headers = PIECE
    with CaptureQueriesContext(connection) as caught:
        tablet.wish("START")
    assert tablet.status == 200
    assert [one["sql"] for one in caught if "batch" in one["sql"].lower()] == []


# --- At a desk


def test_a_lead_takes_a_batch_in_and_prints_its_label(shop: make.Shop) -> None:
    lead = client(shop, "lead")
    glue = Material.objects.get(code="GLUE")
    said = {
        "material": glue.pk,
        "number": "LOT 7",
        "received_on": "2026-03-01",
        "expires_on": "2026-02-01",
    }
    with time_machine.travel(shop.now, tick=False):
        wrong = lead.post("/materials/", said)
        assert wrong.status_code == 422
        assert "As it is printed on it" in text_of(wrong)
        assert "That is before it was received." in text_of(wrong)
        said |= {"number": "LOT-7", "expires_on": "2026-09-01"}
        answer = lead.post("/materials/", said, follow=True)
        batch = Batch.objects.get()
        assert answer.redirect_chain == [(f"/materials/batch/{batch.code}/", 302)]
        assert "The batch is taken in" in text_of(answer)
        again = lead.post("/materials/", said)
    assert again.status_code == 409
    assert "Batch LOT-7 of Hide glue was taken in already." in text_of(again)
    assert Batch.objects.count() == 1


def test_a_list_says_where_batches_are_in_use_and_what_they_made(
    shop: make.Shop, glue: Step
) -> None:
    first, second = shop.batch(number="A-1"), shop.batch(number="A-2")
    for batch in (first, second):
        shop.later(minutes=1)
        shop.bring(batch, "CLAMPS")
    shop.do(glue)
    with time_machine.travel(shop.now, tick=False):
        page = client(shop, "joiner").get("/materials/").context["page"].page
    assert page.may_take_in is False
    rows = {row.number: row for one in page.materials for row in one.batches}
    assert (rows["A-1"].stations, rows["A-1"].parts) == ((), 0)
    assert (rows["A-2"].stations, rows["A-2"].parts) == (("Clamps",), 1)


def test_more_batches_cost_the_list_no_more_questions(shop: make.Shop) -> None:
    def asked() -> int:
        lead = client(shop, "lead")
        with CaptureQueriesContext(connection) as caught:
            assert lead.get("/materials/").status_code == 200
        return len(caught)

    shop.batch()
    few = asked()
    for _ in range(14):
        shop.bring(shop.batch(), "CLAMPS")
    assert asked() == few


def test_a_batch_is_held_and_let_go_on_its_page(shop: make.Shop) -> None:
    batch = shop.batch()
    lead, page = client(shop, "lead"), f"/materials/batch/{batch.code}/"
    sent = {"event_id": "6f9619ff-8b86-4d01-b42d-00cf4fc964ff", "reason": "cloudy"}
    for _ in range(2):
        assert lead.post(f"{page}hold/", sent).status_code == 302
    hold = BatchHold.objects.get()
    assert "cloudy" in text_of(lead.get(page))
    assert "held" in text_of(client(shop, "joiner").get("/materials/"))
    let = {"hold": str(hold.uuid), "reason": "only the pot"}
    assert lead.post(f"{page}lift/", let).status_code == 302
    assert lead.post(f"{page}lift/", let).status_code == 409
    assert "only the pot" in text_of(lead.get(page))
    assert lead.get("/materials/batch/B0000000/").status_code == 404


def test_a_label_opens_its_batch_at_a_desk(shop: make.Shop) -> None:
    batch = shop.batch()
    page = f"/materials/batch/{batch.code}/"
    for address in (f"/T/{batch.code}", f"/find/?q={batch.code}"):
        assert client(shop, "qa").get(address)["Location"] == page


# --- Cutters


def change(shop: make.Shop, who: str = "joiner", **said: object):
    sent = {"head": "top", "number": "C-1", "life_parts": 1} | said
    with time_machine.travel(shop.now, tick=False):
        return client(shop, who).post("/station/SAW/cutters/", sent)


def test_a_cutter_is_changed_at_its_station(shop: make.Shop) -> None:
    assert change(shop).status_code == 302
    again = change(shop)
    assert again.status_code == 409
    assert "Cutter C-1 runs at top already." in text_of(again)
    shop.later(hours=1)
    assert change(shop, "lead", number="C-2").status_code == 302
    first, second = Cutter.objects.order_by("pk")
    assert (first.taken_off_at, first.taken_off_by) == (shop.now, shop.cast.lead)
    assert (second.mounted_at, second.taken_off_at) == (shop.now, None)
    assert change(shop, "planner", number="C-3").status_code == 403


def test_a_station_says_how_far_its_cutters_are_and_when_they_are_over(
    shop: make.Shop, body: Part
) -> None:
    change(shop, life_parts=2)
    for instrument in (body.instrument, shop.instrument()):
        shown = Tablet(shop, "SAW").open()
        assert "change it" not in shown.text
        shop.work(shop.part(instrument), until="Dry")
    shown = Tablet(shop, "SAW").open()
    assert "top C-1 2 of 2 parts – change it" in shown.text
    shown = Tablet(shop, "SAW").open("cutters/?head=top")
    assert "Its life is over: change it." in " ".join(shown.page.get_text(" ").split())
    life = shown.page.select_one("[name=life_parts]")
    assert life
    assert life["value"] == "2"


def test_only_what_stands_and_came_after_counts(shop: make.Shop, body: Part) -> None:
    shop.work(body, until="Dry")
    shop.later(minutes=1)
    change(shop)
    assert "top C-1 0 of 1 parts" in Tablet(shop, "SAW").open().text
    other = shop.step_of(shop.part(shop.instrument()))
    assert other
    shop.must(Wish.START, other)
    ended = shop.must(Wish.FINISH, other)
    shop.must(Wish.UNDO, other, event=str(ended.event_id))
    assert "top C-1 0 of 1 parts" in Tablet(shop, "SAW").open().text
