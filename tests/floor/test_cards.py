"""Does a command card do at the station what the screen's button would?

Without script: the form says what stands on the screen, and the server presses.
"""

import pytest
from django.db.models import QuerySet

from tests import make
from tests.floor.story import at
from tests.floor.tablet import PIECE, Tablet, events, fields
from travelers.floor.models import Event, Reading
from travelers.formulas.cards import Command, code_of
from travelers.orders.models import Part, Step
from travelers.routes.models import DefectKind

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def say(tablet: Tablet, *commands: Command) -> Tablet:
    for command in commands:
        tablet.scan(code_of(command))
    return tablet


@pytest.fixture
def saw(shop: make.Shop, body: Part) -> Tablet:
    return Tablet(shop, "SAW").scan(body)


def test_start_and_done_press_the_wide_button(saw: Tablet) -> None:
    say(saw, Command.START)
    assert "The work is begun." in saw.text
    say(saw, Command.DONE)
    assert "This step is done." in saw.text
    assert events() == [("START", True, ""), ("FINISH", True, "")]


def test_next_presses_whatever_is_next(
    shop: make.Shop, body: Part, saw: Tablet
) -> None:
    say(saw, Command.NEXT, Command.NEXT)
    assert events() == [("START", True, ""), ("FINISH", True, "")]
    at(shop, body, "Machine")
    cutter = Tablet(shop, "CUTTER").scan(body)
    say(cutter, Command.NEXT, Command.NEXT)
    assert cutter.title == "Pocket width"


def test_load_and_take_out(shop: make.Shop, body: Part) -> None:
    dry = at(shop, body, "Cure")
    rack = Tablet(shop, "RACK").scan(body)
    say(rack, Command.LOAD)
    assert "It lies here until" in rack.text
    say(rack, Command.TAKE_OUT)
    assert "Cure: the part has to lie until" in rack.text
    shop.later(days=21)
    rack.sign_in("joiner")
    say(rack.scan(body), Command.TAKE_OUT)
    assert "The part is out." in rack.text
    dry.refresh_from_db()
    assert dry.state == "DONE"


@pytest.mark.parametrize(
    ("command", "goes"),
    [
        (Command.DONE, "start, defect, hold, list"),
        (Command.TAKE_OUT, "start, defect, hold, list"),
        (Command.YES, "start, defect, hold, list"),
        (Command.DIGIT_4, "start, defect, hold, list"),
        (Command.UNDO, "start, defect, hold, list"),
        (Command.REASON_WOOD, "start, defect, hold, list"),
    ],
)
def test_a_card_that_does_not_fit_is_answered_and_records_nothing(
    saw: Tablet, command: Command, goes: str
) -> None:
    say(saw, command)
    assert saw.status == 409
    assert "does nothing here now." in saw.text
    assert f"What goes now: {goes}." in saw.text
    assert saw.title == "Saw"
    assert events() == []


def test_a_scan_by_get_records_nothing(saw: Tablet, body: Part) -> None:
    """So that a link, a reload or a look ahead presses nothing."""
    step = body.steps.get(operation__name="Saw")
    for command in Command:
        asked = f"?code={code_of(command)}&part={body.code}&step={step.pk}&scanned=1"
        saw.open(asked)
        saw.open(asked, **PIECE)
    assert not Event.objects.exists()


@pytest.mark.twice
def test_a_greyed_button_stays_greyed_for_its_card(shop: make.Shop, body: Part) -> None:
    at(shop, body, "Machine")
    cutter = say(Tablet(shop, "CUTTER").scan(body), Command.START, Command.DONE)
    assert "Still to be checked: Pocket width." in cutter.text
    assert not Event.objects.filter(kind="FINISH", step__operation__name="Machine")


def test_the_list_card_leads_back(saw: Tablet) -> None:
    assert "Ready here" in say(saw, Command.LIST).text


def test_a_card_before_any_part_asks_for_one(shop: make.Shop, body: Part) -> None:
    saw = say(Tablet(shop, "SAW").open(), Command.START)
    assert "No part is on the screen for the card “start”." in saw.text
    assert "Ready here" in saw.text
    assert events() == []


def test_load_at_a_room_without_a_part_opens_the_list(shop: make.Shop) -> None:
    assert "0 parts to go in" in say(Tablet(shop, "ROOM").open(), Command.LOAD).text
    out = say(Tablet(shop, "ROOM").open(), Command.TAKE_OUT)
    assert "0 parts to come out" in out.text


@pytest.fixture
def pocket(shop: make.Shop, body: Part) -> Tablet:
    at(shop, body, "Machine")
    cutter = Tablet(shop, "CUTTER").scan(body)
    return say(cutter, Command.START, Command.NEXT)


def pockets() -> QuerySet[Reading]:
    return Reading.objects.filter(characteristic__code="POCKET")


@pytest.mark.twice
def test_yes_stores_a_doubted_value_as_it_was_typed(pocket: Tablet) -> None:
    pocket.read("561.1")
    assert not pockets().exists()
    say(pocket, Command.YES)
    assert "Pocket width: 561.1 mm, outside." in pocket.text
    assert [str(row.value) for row in pockets()] == ["561.1000"]


def test_no_takes_a_doubted_value_back(pocket: Tablet) -> None:
    pocket.read("561.1")
    say(pocket, Command.NO)
    assert pocket.title == "Pocket width"
    assert fields(pocket.form("form.check"))["value"] == ""
    assert not pockets().exists()


@pytest.mark.twice
@pytest.mark.parametrize(("command", "value"), [(Command.YES, 1), (Command.NO, 0)])
def test_good_and_not_good_by_card(
    shop: make.Shop, body: Part, command: Command, value: int
) -> None:
    at(shop, body, "Inspect body")
    booth = Tablet(shop, "BOOTH").scan(body)
    say(booth, Command.START, Command.NEXT, command)
    reading = Reading.objects.filter(characteristic__code="SHINE").get()
    assert reading.value == value


def test_while_a_join_runs_done_ends_it_and_other_cards_keep_it(
    shop: make.Shop, body: Part
) -> None:
    glue = at(shop, body, "Glue")
    clamps = say(Tablet(shop, "CLAMPS").scan(body), Command.START)
    say(clamps, Command.DONE)
    assert "Not scanned yet:" in clamps.text
    shop.mate(glue)
    clamps = Tablet(shop, "CLAMPS").scan(body)
    say(clamps, Command.DONE)
    glue.refresh_from_db()
    assert glue.state == "DWELLING"


@pytest.mark.twice
def test_a_card_sent_twice_presses_once(saw: Tablet) -> None:
    form, url = saw.form("#scan-form"), saw.url
    for _ in range(2):
        saw.url = url
        saw.submit(form, code=code_of(Command.START))
    assert Event.objects.filter(kind="START", accepted=True).count() == 1


def test_a_card_anywhere_else_is_said_to_be_one(shop: make.Shop, saw: Tablet) -> None:
    for url in ("/T/C000010E", "/find/?q=c000-010e"):
        saw.open(url)
        assert saw.status == 404
        assert "This is the card “start” and no part's tag." in saw.text
    saw.open(f"/T/{DefectKind.objects.earliest('pk').card}")
    assert "This card names a kind of defect" in saw.text


def test_the_defect_card_leads_to_its_form(saw: Tablet, body: Part) -> None:
    say(saw, Command.START)
    say(saw, Command.DEFECT)
    step = Step.objects.get(part=body, operation__name="Saw")
    assert saw.url == f"/quality/report/?step={step.pk}&station=SAW"
    assert "Touch the place of the defect" in saw.page.get_text()
