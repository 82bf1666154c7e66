"""Can a slip be taken back, and is the lead asked and heard, in a real browser?"""

from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
import time_machine

from tests import make
from tests.browser.conftest import SIZES, Tablet
from tests.cast import TOKEN
from tests.shop.bench import NUMBERS, PIN, give
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.floor.rules import Wish
from travelers.orders.models import Part, Step

NewTablet = Callable[..., Tablet]
# How long the operator's screen may take to hear of an answer by itself.
HEARS_MS = 15_000
YEAR = 365 * 86_400


@pytest.fixture
def clock(shop: make.Shop, settings: object) -> Iterator[time_machine.Traveller]:
    """Let it be an hour after the morning, and the clock run on."""
    settings.SESSION_COOKIE_AGE = YEAR  # type: ignore[attr-defined]
    settings.CSRF_COOKIE_AGE = YEAR  # type: ignore[attr-defined]
    with time_machine.travel(shop.now + timedelta(hours=1), tick=True) as moving:
        yield moving


@pytest.fixture
def body(shop: make.Shop, clock: time_machine.Traveller) -> Part:
    """Give a body whose saw is due."""
    return shop.part(shop.instrument())


def agree() -> None:
    for pk in audit.instrument_ids():
        found = audit.check_instrument(instrument_id=pk).differences
        assert [str(one) for one in found] == []


def pictures(tablet: Tablet, name: str, *, full: bool = False) -> None:
    for size in SIZES:
        tablet.picture(name, size=size, full=full)
    tablet.resize("1280x800")


def at_bench(tablet: NewTablet, shop: make.Shop, name: str, station: str) -> Tablet:
    one = tablet()
    one.enter(shop.cast.people[name])
    one.go(f"/station/{station}/")
    return one


def let_in(tablet: Tablet) -> None:
    """Be the saw's own tablet."""
    tablet.context.add_cookies([{"name": "tablet", "value": TOKEN, "url": tablet.home}])


def the(body: Part, operation: str) -> Step:
    return Step.objects.get(part=body, operation__name=operation)


def test_a_press_is_taken_back_with_one_touch(
    shop: make.Shop, body: Part, tablet: NewTablet
) -> None:
    joiner = at_bench(tablet, shop, "joiner", "SAW")
    joiner.scan(body.code)
    joiner.press("Start")
    joiner.press("Done")
    joiner.shows("takes back: done – Saw")
    pictures(joiner, "undo-after-done")
    joiner.touch('[data-shop-command="UNDO"]')
    joiner.shows("It is as it was before.")
    assert the(body, "Saw").state == "RUNNING"
    # Now the press before is the last one; it stands in the list as well.
    joiner.press("List")
    joiner.shows("takes back: start – Saw")
    pictures(joiner, "undo-in-list")
    joiner.touch('[data-shop-command="UNDO"]')
    assert the(body, "Saw").state == "READY"
    joiner.press("Start")
    assert the(body, "Saw").state == "RUNNING"
    agree()


def test_without_script_a_press_is_taken_back_too(
    shop: make.Shop, body: Part, tablet: NewTablet
) -> None:
    joiner = tablet(scripts=False)
    joiner.enter(shop.cast.joiner)
    joiner.go(f"/station/SAW/?code={body.code}")
    joiner.press("Start")
    joiner.touch('[data-shop-command="UNDO"]')
    joiner.shows("It is as it was before.")
    assert the(body, "Saw").state == "READY"
    agree()


def test_a_lead_takes_back_a_press_with_what_was_built_on_it(
    shop: make.Shop, body: Part, tablet: NewTablet
) -> None:
    for operation, wish in (("Saw", "START"), ("Saw", "FINISH"), ("Dry", "LOAD")):
        shop.later(minutes=2)
        shop.must(Wish[wish], the(body, operation))
    # At the bench it is refused, in words that name what hangs on it.
    joiner = at_bench(tablet, shop, "joiner", "ROOM")
    done = Event.objects.get(kind="FINISH")
    refused = shop.scan(
        Wish.UNDO, body, step=the(body, "Saw"), event=str(done.event_id)
    )
    assert refused.refusal
    lead = tablet()
    lead.enter(shop.cast.lead)
    lead.go("/decisions/")
    lead.shows("Wanted back", "what came later needs it: load Dry")
    pictures(lead, "decisions-wanted-back")
    lead.press("See what hangs on it")
    lead.shows("1 entry was built on it and goes too", "Load – Dry")
    pictures(lead, "undo-dependents")
    lead.press("Leave it")
    assert the(body, "Dry").state == "DWELLING"
    lead.page.get_by_text("All that was recorded").click()
    lead.touch(f'a[href*="{done.event_id}"]')
    lead.page.fill("#undo-reason", "the wrong body was sawn")
    lead.touch('[data-shop-command="UNDO"]')
    lead.shows("2 entries are taken back.")
    assert [the(body, name).state for name in ("Saw", "Dry")] == ["RUNNING", "WAITING"]
    lead.page.get_by_text("All that was recorded").click()
    lead.shows("taken back by Lead Cast", "the wrong body was sawn")
    pictures(lead, "instrument-corrected", full=True)
    agree()
    joiner.go(f"/station/ROOM/?code={body.code}")
    joiner.shows("Goes on at: Saw")


def test_the_lead_answers_elsewhere_and_the_screen_goes_on_by_itself(
    shop: make.Shop, body: Part, tablet: NewTablet
) -> None:
    joiner = at_bench(tablet, shop, "joiner", "BOOTH")
    joiner.scan(body.code)
    joiner.shows("Saw is not done at this station")
    pictures(joiner, "ask-before")
    joiner.press("Ask lead or QA")
    joiner.shows("The lead was asked,", "comes up here by itself")
    pictures(joiner, "ask-waits")
    lead = tablet()
    lead.enter(shop.cast.lead)
    lead.go("/decisions/")
    lead.shows("The lead was asked", "Saw is not done at this station but at Saw.")
    pictures(lead, "decisions-asked")
    lead.page.fill(".waits-answer input[name=reason]", "the saw is down")
    lead.press("Yes, once")
    lead.shows("It may pass, once.", "Nothing waits for a decision.")
    joiner.page.get_by_text("It may go on, once: the saw is down").wait_for(
        timeout=HEARS_MS
    )
    pictures(joiner, "ask-answered")
    joiner.press("Start")
    begun = Event.objects.get(kind="START")
    assert (begun.allowed_by, begun.allowed_reason) == (
        shop.cast.lead,
        "the saw is down",
    )
    agree()


def test_the_lead_says_no_and_the_bench_hears_why(
    shop: make.Shop, body: Part, tablet: NewTablet
) -> None:
    joiner = at_bench(tablet, shop, "joiner", "BOOTH")
    joiner.scan(body.code)
    joiner.press("Ask lead or QA")
    lead = tablet()
    lead.enter(shop.cast.lead)
    lead.go("/decisions/")
    lead.page.fill(".waits-answer input[name=reason]", "carry it over")
    lead.press("No")
    joiner.page.get_by_text("Lead Cast says no: carry it over").first.wait_for(
        timeout=HEARS_MS
    )
    pictures(joiner, "ask-declined")
    # It may be asked again.
    joiner.press("Ask lead or QA")
    joiner.shows("The lead was asked,")
    agree()


def test_the_lead_says_yes_at_the_operators_tablet(
    shop: make.Shop,
    body: Part,
    tablet: NewTablet,
    clock: time_machine.Traveller,
) -> None:
    neck = shop.part(body.instrument, "NECK")
    shop.work(neck, until="Fret")
    clock.move_to(shop.now + timedelta(minutes=30))
    give(shop)
    joiner = at_bench(tablet, shop, "joiner", "SAW")
    let_in(joiner)
    joiner.go(f"/station/SAW/?code={neck.code}")
    joiner.touch(".lead-here summary")
    pictures(joiner, "lead-here")
    page = joiner.page
    page.fill("#here-reason", "frets is full")
    page.fill("#here-number", NUMBERS["lead"])
    page.fill("#here-pin", "000001")
    joiner.touch('.lead-here button:not([value="DECLINE"])')
    joiner.shows("This number and PIN do not open anything here.")
    assert page.input_value("#here-reason") == "frets is full"
    pictures(joiner, "lead-here-refused")
    page.fill("#here-pin", PIN)
    joiner.touch('.lead-here button:not([value="DECLINE"])')
    joiner.shows("It may go on, once.", "Joiner Cast")
    allowed = Event.objects.get(kind="ALLOW")
    assert (allowed.person, allowed.station) == (
        shop.cast.lead,
        shop.cast.stations["SAW"],
    )
    joiner.press("Start")
    begun = Event.objects.filter(kind="START").latest("seq")
    assert (begun.person, begun.allowed_by) == (shop.cast.joiner, shop.cast.lead)
    agree()


def test_out_of_tolerance_the_lead_is_asked_from_the_check(
    shop: make.Shop,
    body: Part,
    tablet: NewTablet,
    clock: time_machine.Traveller,
) -> None:
    shop.work(body, until="Machine")
    clock.move_to(shop.now + timedelta(minutes=30))
    step = the(body, "Machine")
    shop.must(Wish.START, step)
    check = step.operation.characteristics.get()
    joiner = at_bench(tablet, shop, "joiner", "CUTTER")
    joiner.go(f"/station/CUTTER/?code={body.code}&step={step.pk}&check={check.pk}")
    joiner.page.select_option("select[name=gauge]", label="caliper")
    joiner.page.fill("input[name=value]", "56.31")
    joiner.press("Enter")
    pictures(joiner, "ask-outside")
    joiner.press("Ask the lead")
    joiner.shows("The lead was asked,")
    pictures(joiner, "ask-outside-waits")
    assert Event.objects.get(kind="ASK").data["gate"] == "floor.out_of_tolerance"
    agree()
