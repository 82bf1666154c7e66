"""How is a value taken at a station, asked again, and answered?"""

from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client

from tests import make
from tests.cast import PASSWORD
from tests.floor.tablet import PIECE, Tablet, events, plain, swapped
from tests.standing import kept
from travelers.floor.models import Event, Reading
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step
from travelers.shop.actions import decide_overdue_gauges, take_codes
from travelers.shop.models import Gauge
from travelers.shop.rules import OverdueGauges

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def begun(shop: make.Shop, part: Part, name: str) -> Step:
    """Bring a part to an operation and begin it."""
    shop.work(part, until=name)
    found = part.steps.select_related("operation").get(
        state="READY", operation__name=name
    )
    shop.must(Wish.START, found)
    return found


def stored() -> list[Reading]:
    """Give what was stored of the pocket's width."""
    return list(Reading.objects.filter(characteristic__code="POCKET").order_by("id"))


@kept
def machined(shop: make.Shop) -> Part:
    """Give a body that is being machined."""
    body = shop.part(shop.instrument())
    begun(shop, body, "Machine")
    return body


@pytest.fixture
def pocket(shop: make.Shop, machined: Part) -> Tablet:
    """Give a tablet that asks for the pocket's width, 56.05 to 56.20 mm."""
    return Tablet(shop, "CUTTER").scan(machined).follow("Check: Pocket width")


def test_an_operation_leads_to_its_checks_before_it_can_be_done(
    shop: make.Shop, body: Part
) -> None:
    begun(shop, body, "Machine")
    tablet = Tablet(shop, "CUTTER").scan(body)
    assert tablet.buttons["Check: Pocket width"]
    assert not tablet.buttons["Done"]
    assert "Still to be checked: Pocket width." in tablet.text
    tablet.follow("Check: Pocket width")
    assert tablet.title == "Pocket width"
    assert "at least 56.05 mm" in tablet.text
    assert "at most 56.20 mm" in tablet.text


@pytest.mark.parametrize("typed", ["56.1", "56,10", " 56.10 mm", "+56,1mm"])
@pytest.mark.twice
def test_a_value_inside_is_stored_and_said_at_once(
    shop: make.Shop, pocket: Tablet, typed: str
) -> None:
    gauge = shop.cast.gauges["caliper"]
    pocket.read(typed, gauge=str(gauge.pk))
    assert pocket.status == 200
    assert "Pocket width: 56.1" in pocket.text
    assert "inside." in pocket.text
    assert pocket.buttons["Done"]
    (one,) = stored()
    assert (one.value, one.unit) == (Decimal("56.1"), "mm")
    assert (one.verdict, one.gauge) == ("INSIDE", gauge)


@pytest.mark.parametrize(
    ("typed", "refusal", "says", "kept"),
    [
        ("", "floor.value_empty", "No value was given yet.", ""),
        ("56 one", "floor.value_unknown_unit", "“one” behind the number", "56 one"),
        ("1,234.5", "floor.value_two_marks", "more than one mark", "1,234.5"),
        ("2.21 oz", "floor.value_other_unit", "in mm, not in oz.", "2.21 oz"),
        ("56.12345", "floor.value_too_fine", "more digits than", "56.12345"),
        ("9" * 41, "floor.value_too_long", "far too long", "9" * 40),
        ("9" * 900_000, "floor.value_too_long", "far too long", "9" * 40),
        ("561", "floor.value_doubted", "56.1 mm may have been meant", "561"),
        ("2.21", "floor.value_doubted", "56.134 mm may have been meant", "2.21"),
    ],
)
def test_what_is_unclear_is_asked_again_and_stays_typed(
    pocket: Tablet, typed: str, refusal: str, says: str, kept: str
) -> None:
    before = len(events())
    pocket.read(typed)
    assert pocket.status == 422
    assert refusal in pocket.text
    assert says in pocket.text
    field = pocket.form("#value")
    assert field["value"] == kept
    assert field["aria-invalid"] == "true"
    assert pocket.title == "Pocket width"
    assert len(events()) == before


def test_megabytes_are_answered_too(pocket: Tablet) -> None:
    before = len(events())
    pocket.read("9" * 5_000_000)
    assert pocket.status == 422
    assert "That is more text than any field here takes." in pocket.text
    assert "nothing was recorded" in pocket.text
    assert len(events()) == before


def test_megabytes_come_into_the_scene_not_in_its_place(pocket: Tablet) -> None:
    pocket.headers = PIECE
    pocket.read("9" * 5_000_000)
    assert pocket.answer.headers["HX-Reswap"] == "innerHTML"
    assert not pocket.page.select("html")


def test_a_doubted_value_is_stored_as_it_was_meant(
    shop: make.Shop, pocket: Tablet
) -> None:
    gauge = str(shop.cast.gauges["caliper"].pk)
    pocket.read("561", gauge=gauge)
    meant = pocket.form("button[name=instead]")
    assert meant.get_text(strip=True) == "It is 56.1 mm"
    pocket.read("561", gauge=gauge, instead=str(meant["value"]))
    assert pocket.status == 200
    assert [one.value for one in stored()] == [Decimal("56.1")]


def test_a_doubted_value_that_is_meant_so_is_stored_so(
    shop: make.Shop, pocket: Tablet
) -> None:
    gauge = str(shop.cast.gauges["caliper"].pk)
    pocket.read("561", gauge=gauge)
    sure = str(pocket.form("button[name=confirm]")["value"])
    pocket.read("562", gauge=gauge, confirm=sure)
    assert pocket.status == 422
    pocket.read("561", gauge=gauge, confirm=sure)
    assert pocket.status == 200
    assert [(o.value, o.verdict) for o in stored()] == [(Decimal(561), "HIGH")]


def test_enter_never_answers_a_doubt(pocket: Tablet) -> None:
    pocket.read("561")
    first = pocket.form("form.check").select("button:not([type=button])")[0]
    assert "name" not in first.attrs


@pytest.mark.twice
def test_outside_offers_to_measure_again_a_defect_and_the_lead(
    shop: make.Shop, machined: Part, pocket: Tablet
) -> None:
    gauge = str(shop.cast.gauges["caliper"].pk)
    pocket.read("56.4", gauge=gauge)
    assert pocket.status == 200
    assert pocket.form(".said")["data-shop-answer"] == "look"
    assert "Pocket width: 56.4 mm, outside." in pocket.text
    assert "Measure again" in pocket.text
    assert pocket.form("#value")["value"] == ""
    assert "Record a defect" in pocket.text
    pocket.scan(machined)
    assert not pocket.buttons["Done"]
    assert "Out of tolerance: Pocket width 56.4 mm." in pocket.text
    assert "Can be let pass by: lead or QA" in pocket.text
    assert "1 outside" in pocket.text
    lead = Tablet(shop, "CUTTER", by="lead").scan(machined)
    lead.wish("ALLOW", reason="filled and flush")
    pocket.scan(machined).wish("FINISH")
    assert pocket.text.startswith("This step is done.")
    done = Event.objects.get(kind=Wish.FINISH, step__operation__name="Machine")
    assert (done.allowed_by, done.allowed_reason) == (
        shop.cast.lead,
        "filled and flush",
    )


def test_measured_again_inside_the_last_reading_counts(
    shop: make.Shop, pocket: Tablet
) -> None:
    gauge = str(shop.cast.gauges["caliper"].pk)
    pocket.read("56.4", gauge=gauge).read("56.1", gauge=gauge)
    assert pocket.buttons["Done"]
    assert len(stored()) == 2


def test_without_a_gauge_nothing_is_stored(shop: make.Shop, pocket: Tablet) -> None:
    pocket.read("56.1", gauge="")
    assert pocket.status == 422
    assert "Pocket width is measured with a caliper, and none was named." in pocket.text
    assert pocket.form("#value")["value"] == "56.1"
    assert stored() == []
    assert events()[-1] == ("READ", False, "floor.gauge_missing")


def test_an_overdue_gauge_is_named_and_refused(shop: make.Shop, pocket: Tablet) -> None:
    old = shop.cast.gauges["old caliper"]
    named = pocket.form(f"option[value='{old.pk}']").get_text(" ", strip=True)
    assert named == "old caliper – overdue since 31 Jan 2026"
    pocket.read("56.1", gauge=str(old.pk))
    assert pocket.status == 409
    assert "old caliper was due for calibration" in pocket.text
    assert pocket.form("#value")["value"] == "56.1"


def test_the_only_good_gauge_is_chosen(shop: make.Shop, pocket: Tablet) -> None:
    good = shop.cast.gauges["caliper"]
    assert pocket.form("option[selected]")["value"] == str(good.pk)


def test_the_gauge_used_last_is_remembered_for_the_station(
    shop: make.Shop, body: Part
) -> None:
    other = shop.part(shop.instrument())
    for part in (body, other):
        begun(shop, part, "Machine")
    old = shop.cast.gauges["caliper"]
    new = Gauge.objects.create(
        tag="G0000990",
        name="new caliper",
        kind=old.kind,
        unit=old.unit,
        resolution=old.resolution,
        calibrated_on=old.calibrated_on,
        due_on=old.due_on,
    )
    tablet = Tablet(shop, "CUTTER").scan(body).follow("Check: Pocket width")
    assert not tablet.page.select("option[selected]")
    tablet.read("56.1", gauge=str(new.pk))
    assert tablet.status == 200
    tablet.scan(other).follow("Check: Pocket width")
    assert tablet.form("option[selected]")["value"] == str(new.pk)


def another_caliper(shop: make.Shop) -> Gauge:
    old = shop.cast.gauges["caliper"]
    return Gauge.objects.create(
        tag=take_codes(kind="G", count=1)[0],
        name="caliper 3",
        kind=old.kind,
        unit=old.unit,
        resolution=old.resolution,
        calibrated_on=old.calibrated_on,
        due_on=old.due_on,
    )


def test_a_scanned_gauge_serves_all_its_checks_until_another_is_scanned(
    shop: make.Shop, body: Part
) -> None:
    one, other = another_caliper(shop), shop.cast.gauges["caliper"]
    begun(shop, body, "Machine")
    later = shop.part(shop.instrument())
    begun(shop, later, "Machine")
    tablet = Tablet(shop, "CUTTER").scan(body).follow("Check: Pocket width")
    assert "Scan the label of the caliper, or choose it." in tablet.text
    tablet.read("56.1")
    assert "none was named" in tablet.text
    tablet.scan(one.tag)
    assert tablet.status == 200
    assert tablet.title == "Pocket width"
    assert "with caliper 3, due 30 June 2027" in tablet.text
    tablet.read("56.1")
    assert stored()[-1].gauge == one
    tablet.scan(later).follow("Check: Pocket width")
    assert "with caliper 3, due 30 June 2027" in tablet.text
    tablet.scan(other.tag)
    assert "with caliper, due 30 June 2027" in tablet.text
    # Another station, and another session at this one, have their own.
    assert "caliper 3" not in Tablet(shop, "SAW").scan(later).text
    fresh = Tablet(shop, "CUTTER").scan(later).follow("Check: Pocket width")
    assert "Scan the label of the caliper" in fresh.text


def test_a_gauge_of_another_kind_is_refused_at_its_scan(
    shop: make.Shop, pocket: Tablet
) -> None:
    pocket.scan(shop.cast.gauges["meter"].tag)
    assert pocket.status == 409
    assert (
        "meter is a moisture meter; Pocket width is measured with a caliper."
        in pocket.text
    )
    assert pocket.title == "Pocket width"
    assert "with caliper, due" in pocket.text


def test_an_overdue_gauge_is_refused_at_its_scan_or_marked_as_the_house_says(
    shop: make.Shop, pocket: Tablet
) -> None:
    old = shop.cast.gauges["old caliper"]
    pocket.scan(old.tag)
    assert pocket.status == 409
    assert "old caliper was due for calibration on" in pocket.text
    assert "with caliper, due" in pocket.text
    decide_overdue_gauges(decision=OverdueGauges.MARK, by=shop.cast.qa, at=shop.now)
    pocket.scan(old.tag)
    assert "with old caliper, overdue since 31 January 2026" in pocket.text
    pocket.read("56.1")
    assert stored()[-1].in_calibration is False
    assert "The gauge is out of calibration." in pocket.text
    assert "gauge out of calibration" in pocket.text
    pocket.follow("Pocket width")
    assert (
        "The last value was read with a gauge that is out of calibration" in pocket.text
    )
    page = instrument_text(pocket)
    assert "Pocket width 56.1 mm – gauge out of calibration" in page
    assert "out of calibration" in page


SHINE = ("reading Even shine good", "reading Even shine not good")


def instrument_text(tablet: Tablet) -> str:
    serial = stored()[-1].event.instrument.serial
    return tablet.open(f"/instrument/{serial}/").text


@pytest.mark.parametrize(
    ("typed", "value", "shown"),
    [
        ("2.21 in", "56.1340", "56.134 mm (2.21 in)"),
        ('2.2100"', "56.1340", "56.134 mm (2.2100 in)"),
        ("56100 um", "56.1000", "56.1 mm (56100 um)"),
        ("56,1 mm", "56.1000", "56.1 mm"),
    ],
)
def test_a_unit_is_converted_where_exact_and_the_original_shown(
    shop: make.Shop, pocket: Tablet, typed: str, value: str, shown: str
) -> None:
    pocket.read(typed)
    assert f"Pocket width: {shown}, inside." in pocket.text
    (one,) = stored()
    assert (one.value, one.unit) == (Decimal(value), "mm")
    original = shown.partition("(")[2].rstrip(")")
    assert one.event.data["readings"][0].get("read", "") == original
    assert f"gauge: {original}" in instrument_text(pocket) or not original


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("12.34 g", "Pocket width is measured in mm, not in g."),
        ("12.34 lbf", "“lbf” behind the number is no unit that is known here."),
        ("1.2E-1", "“1.2E-1” cannot be read as a number."),
    ],
)
def test_another_unit_is_refused_in_words(
    pocket: Tablet, typed: str, says: str
) -> None:
    pocket.read(typed)
    assert pocket.status == 422
    assert says in pocket.text
    assert stored() == []


def test_places_are_walked_one_by_one(shop: make.Shop, body: Part) -> None:
    neck = shop.part(body.instrument, "NECK")
    begun(shop, neck, "Fret")
    tablet = Tablet(shop, "FRETS").scan(neck)
    assert "Still to be checked: Fret height (fret 1–3)." in tablet.text
    tablet.follow("Check: Fret height")
    assert tablet.title == "Fret height, fret 1"
    assert "0 of 3 read" in tablet.text
    tablet.read("1.20")
    assert tablet.title == "Fret height, fret 2"
    assert "Fret height, fret 1: 1.20 mm, inside." in tablet.text
    assert "1 of 3 read" in tablet.text
    tablet.read("1.30")
    assert tablet.title == "Fret height, fret 2"
    tablet.follow("Go on")
    assert tablet.title == "Fret height, fret 3"
    tablet.read("1.20")
    assert "Out of tolerance: Fret height (fret 2) 1.30 mm." in tablet.text
    tablet.follow("Fret height")
    assert tablet.title == "Fret height, fret 2"
    tablet.read("1.25")
    assert tablet.buttons["Done"]


@pytest.mark.twice
def test_a_judged_check_has_two_buttons(shop: make.Shop, body: Part) -> None:
    begun(shop, body, "Inspect body")
    tablet = Tablet(shop, "BOOTH").scan(body).follow("Check: Even shine")
    assert set(tablet.buttons) == {"Good", "Not good"}
    assert tablet.read().status == 422
    tablet.read("0")
    assert "Even shine: not good." in tablet.text
    assert "Record a defect" in tablet.text
    tablet.read("1")
    assert "Even shine: good." in tablet.text
    assert tablet.buttons["Done"]
    assert list(Reading.objects.values_list("verdict", flat=True))[-2:] == [
        "LOW",
        "INSIDE",
    ]
    told = tablet.open(f"/instrument/{body.instrument.serial}/")
    said = [row.get_text(" ", strip=True) for row in told.page.select("tr")]
    assert [sum(text in row for row in said) for text in SHINE] == [1, 1]


def test_what_dries_is_read_while_it_lies(shop: make.Shop, body: Part) -> None:
    shop.work(body, until="Dry")
    tablet = Tablet(shop, "ROOM").scan(body).wish("LOAD")
    shop.later(days=11)
    tablet.scan(body).follow("Check: Moisture")
    tablet.read("6.4", gauge=str(shop.cast.gauges["meter"].pk))
    assert tablet.buttons["Take out"]


@pytest.mark.twice
def test_the_same_reading_twice_is_stored_once(shop: make.Shop, pocket: Tablet) -> None:
    form = pocket.form("form.check")
    typed = {"value": "56.1", "gauge": str(shop.cast.gauges["caliper"].pk)}
    first = pocket.submit(form, **typed).text
    assert pocket.submit(form, **typed).text == first
    assert len(stored()) == 1


def test_a_reading_of_a_step_that_is_done_is_refused(
    shop: make.Shop, machined: Part, pocket: Tablet
) -> None:
    form = pocket.form("form.check")
    machine = machined.steps.get(operation__name="Machine")
    shop.check(machine)
    shop.must(Wish.FINISH, machine)
    pocket.submit(form, value="56.1", gauge=str(shop.cast.gauges["caliper"].pk))
    assert pocket.status == 409
    assert "Machine was done on" in pocket.text
    assert pocket.title == "Lacquer 1/3"


def test_a_check_that_the_step_does_not_have_is_refused(
    shop: make.Shop, pocket: Tablet
) -> None:
    pocket.read("56.1", check="999999")
    assert pocket.status == 422
    assert "Machine has no such check." in pocket.text


def test_the_piece_of_a_reading_is_the_page_reloaded(
    shop: make.Shop, body: Part
) -> None:
    neck = shop.part(body.instrument, "NECK")
    begun(shop, neck, "Fret")
    whole = Tablet(shop, "FRETS").scan(neck).follow("Check: Fret height")
    form = whole.form("form.check")
    piece = Tablet(shop, "FRETS", client=whole.client, headers=PIECE)
    piece.submit(form, value="1.2")
    shown = str(piece.answer.headers["HX-Replace-Url"])
    assert shown.endswith("&place=2")
    piece.page.select_one(".said").decompose()
    reloaded = Tablet(shop, "FRETS", client=whole.client).open(shown)
    assert swapped(whole.page, piece.page) == plain(reloaded.page)


def test_who_was_signed_out_comes_back_to_the_check(
    shop: make.Shop, machined: Part, pocket: Tablet
) -> None:
    asked = pocket.url
    draft = str(pocket.form("form.check")["data-shop-draft"])
    form = pocket.form("form.check")
    pocket.client.logout()
    pocket.submit(form, value="56.1")
    assert pocket.status == 302
    sign_in = str(pocket.answer.headers["Location"])
    assert sign_in.startswith("/sign-in/?next=/station/CUTTER/reading/")
    assert stored() == []
    back = _sign_in(pocket.client, sign_in)
    pocket.open(back)
    assert pocket.status == 303
    pocket.open(pocket.answer.headers["Location"])
    assert pocket.title == "Pocket width"
    assert pocket.form("form.check")["data-shop-draft"] == draft
    assert asked.split("?")[1] == pocket.url.split("?")[1]


def _sign_in(client: Client, url: str) -> str:
    """Sign in by the form, and say where it leads."""
    goal = parse_qs(urlsplit(url).query)["next"][0]
    answer = client.post(
        url, {"username": "joiner", "password": PASSWORD, "next": goal}
    )
    assert answer.status_code == 302
    return str(answer.headers["Location"])


def test_a_piece_for_somebody_signed_out_leads_the_whole_page(
    shop: make.Shop, pocket: Tablet
) -> None:
    form, here = pocket.form("form.check"), pocket.url
    pocket.client.logout()
    shown = f"http://testserver{here}"
    pocket.headers = {**PIECE, "HX-Current-URL": shown}
    pocket.submit(form, value="56.1")
    leads = str(pocket.answer.headers["HX-Redirect"])
    assert leads.startswith("/sign-in/?next=/station/CUTTER/%3F")
    assert pocket.answer.content == b""


@pytest.mark.twice
def test_a_page_from_before_the_last_sign_in_is_told_so(
    shop: make.Shop, pocket: Tablet
) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.force_login(shop.cast.joiner)
    pocket.client = strict
    pocket.read("56.1")
    assert pocket.status == 403
    assert "This page is from before the last sign-in" in pocket.text
    assert stored() == []
