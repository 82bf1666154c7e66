"""Who is at the bench, in a real browser: badge, keys, change over, and nobody.

The tablet of the body cutter is let in by the lead's code, as in a shop.
"""

from collections.abc import Callable
from time import perf_counter
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from tests.browser.program import browser_program
from tests.shop.bench import NUMBERS, PIN, give
from travelers.floor.models import Event
from travelers.orders.models import Step
from travelers.shop.actions import enrol_tablet, invite_tablet, revoke_tablet
from travelers.shop.models import Session
from travelers.shop.models import Tablet as Row
from travelers.shop.sessions import TABLET_COOKIE

# A change of person is one scan, and done within this.
CHANGE_S = 3
MINUTE_MS = 60_000
# Fast keys by the page itself, as a scanner's: from outside they come with pauses.
BURST = """(codes) => {
  for (const code of codes)
    for (const key of [...code, "Enter"])
      document.activeElement.dispatchEvent(
        new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
}"""
# What stands in the fields when the badge is sent.
NOTE_FIELDS = """() => addEventListener("submit", () => {
  const value = (id) => document.getElementById(id).value;
  sessionStorage.fields = `${value("number")}|${value("pin")}`;
})"""
# What the page asks of the device's lamp; no device here would fall asleep.
NOTE_LAMP = """window.lamps = [];
Object.defineProperty(navigator, "wakeLock", {value: {
  request: async (kind) => { lamps.push(kind); return {release: async () => {}}; }}});
"""

# The lamps that the browser itself gave.
KEEP_LAMPS = """window.given = [];
const asked = navigator.wakeLock.request.bind(navigator.wakeLock);
navigator.wakeLock.request = async (kind) => {
  const lamp = await asked(kind);
  given.push(lamp);
  return lamp;
};"""


@pytest.fixture(scope="module")
def badges(floor: Halfway) -> dict[str, str]:
    return give(floor.shop)


@pytest.fixture
def bench(
    floor: Halfway, badges: dict[str, str], tablet: Callable[..., Tablet]
) -> Callable[..., Tablet]:
    """Give browsers that were let in at the cutter, nobody signed in."""

    def another(*, scripts: bool = True, clock: bool = False) -> Tablet:
        shop = floor.shop
        invited = invite_tablet(
            station=shop.cast.stations["CUTTER"], by=shop.cast.lead, at=shop.now
        )
        made = enrol_tablet(code=invited.code, at=shop.now)
        assert not hasattr(made, "sentence"), made
        one: Tablet = tablet(scripts=scripts)
        if clock:
            one.clock.install()
        one.context.add_cookies(
            [{"name": TABLET_COOKIE, "value": made.token, "url": one.home}]
        )
        one.go("/station/CUTTER/")
        return one

    return another


def name_of(one: Tablet) -> str:
    return one.page.inner_text("#person").replace("leave", "").strip()


def signed_in(one: Tablet, badge: str) -> Tablet:
    one.page.evaluate(BURST, [badge])
    one.page.wait_for_selector("#person button")
    one.settle()
    return one


@pytest.fixture
def step(floor: Halfway) -> Step:
    """Give a part whose pocket is being cut; the clock goes on by weeks for it."""
    floor.steps["pocket"] = begun = floor.begin("Machine")
    return begun


def pocket(floor: Halfway, one: Tablet) -> None:
    """Open the check of that pocket's width on the screen."""
    one.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))


def test_a_lead_lets_a_tablet_in_by_a_code_that_works_once(
    floor: Halfway, badges: dict[str, str], tablet: Callable[..., Tablet]
) -> None:
    lead, here, late = tablet(), tablet(), tablet()
    lead.enter(floor.shop.cast.lead)
    lead.go("/tablets/")
    lead.page.select_option("[name=station]", "CUTTER")
    lead.press("Make a code")
    lead.shows("A code for a tablet at Cutter", "shown only now")
    code = lead.page.inner_text(".invited-code")
    here.go("/tablet/")
    here.page.fill("[name=code]", code.lower())
    here.press("Let in")
    here.shows("Cutter", "Scan your badge", "Nobody is signed in")
    cookies = {one["name"]: one for one in here.context.cookies()}
    assert cookies[TABLET_COOKIE]["httpOnly"]
    assert cookies[TABLET_COOKIE]["sameSite"] == "Lax"
    late.go(f"/tablet/#{code}")
    assert late.page.input_value("[name=code]") == code
    assert late.page.url.endswith("/tablet/")
    late.press("Let in")
    late.shows("lets no tablet in: it is mistyped, used, or too old.")
    lead.go("/tablets/")
    lead.shows("Cutter 1")
    assert code not in lead.page.content()


@pytest.mark.point(23)
@pytest.mark.parametrize("field", ["", "#number", "#pin"])
def test_a_badge_signs_in_wherever_the_focus_is_and_lands_in_no_field(
    bench: Callable[..., Tablet], badges: dict[str, str], field: str
) -> None:
    one = bench()
    page = one.page
    page.fill("#number", "04")
    if field:
        page.focus(field)
    else:
        page.evaluate("document.activeElement.blur()")
    page.evaluate(NOTE_FIELDS)
    one.wedge(badges["joiner"])
    page.wait_for_selector("#person button")
    assert name_of(one) == "Joiner Cast"
    assert page.url.endswith("/station/CUTTER/")
    assert page.evaluate("sessionStorage.fields") == "04|"


@pytest.mark.point(22)
def test_the_name_is_large_and_always_there(
    bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench()
    signed_in(one, badges["joiner"])
    size = one.page.eval_on_selector(
        "#person button", "(it) => parseFloat(getComputedStyle(it).fontSize)"
    )
    assert size >= 24
    assert one.page.is_visible("#person")


@pytest.mark.point(26)
def test_the_screen_stays_awake_while_somebody_is_signed_in(
    bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench()
    one.page.add_init_script(NOTE_LAMP)
    one.go("/station/CUTTER/")
    assert one.page.evaluate("lamps") == []
    signed_in(one, badges["joiner"])
    assert one.page.evaluate("lamps") == ["screen"]
    # Hidden, the browser lets go of it; seen again, it is asked for again.
    one.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert one.page.evaluate("lamps") == ["screen", "screen"]


@pytest.mark.point(26)
def test_the_browser_gives_the_lamp_and_takes_it_back_with_the_page(
    bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    """Chromium's own lock: no policy of the shop's stands in its way."""
    if str(browser_program()).endswith("headless-shell"):
        pytest.skip("NOT RUN: a Chromium without a window gives no lamp.")
    one = bench()
    one.page.add_init_script(KEEP_LAMPS)
    one.go("/station/CUTTER/")
    signed_in(one, badges["joiner"])
    lit = "given.map((lamp) => [lamp.type, lamp.released])"
    assert one.page.evaluate(lit) == [["screen", False]]
    one.touch("#person button")
    one.shows("Nobody is signed in")
    assert one.page.evaluate(lit) == []


@pytest.mark.point(23)
def test_number_and_pin_by_touch_alone(
    floor: Halfway, bench: Callable[..., Tablet]
) -> None:
    one = bench()
    typed = NUMBERS["joiner"] + PIN
    for digit in typed:
        one.page.click(f"[data-shop-key='{digit}']")
    assert one.page.input_value("#number") == NUMBERS["joiner"]
    assert one.page.input_value("#pin") == PIN
    one.press("Enter")
    assert name_of(one) == "Joiner Cast"


def test_a_slip_is_taken_back_by_touch_and_the_number_stays_after_a_no(
    bench: Callable[..., Tablet],
) -> None:
    one = bench()
    for digit in "041900":
        one.page.click(f"[data-shop-key='{digit}']")
    for _ in range(4):
        one.page.click("[data-shop-key=back]")
    assert one.page.input_value("#pin") == ""
    assert one.page.input_value("#number") == "04"
    for digit in "17111222":
        one.page.click(f"[data-shop-key='{digit}']")
    one.press("Enter")
    one.shows("This number and PIN do not open anything here.")
    assert one.page.input_value("#number") == "0417"
    for digit in PIN:
        one.page.click(f"[data-shop-key='{digit}']")
    one.press("Enter")
    assert name_of(one) == "Joiner Cast"


@pytest.mark.point(21)
def test_a_badge_changes_the_person_within_three_seconds_and_keeps_what_was_typed(
    floor: Halfway,
    step: Step,
    bench: Callable[..., Tablet],
    badges: dict[str, str],
) -> None:
    one = bench()
    signed_in(one, badges["joiner"])
    pocket(floor, one)
    page = one.page
    page.fill("#value", "56.1")
    page.focus("#value")
    begun = perf_counter()
    page.evaluate(BURST, [badges["finisher"]])
    page.wait_for_selector("#person:has-text('Finisher Cast')")
    took = perf_counter() - begun
    assert took < CHANGE_S
    one.settle()
    assert f"code={step.part.code}" in page.url
    assert page.input_value("#value") == ""
    assert Event.objects.filter(step=step, kind="READ").count() == 0
    page.select_option("#gauge", label="caliper")
    page.fill("#value", "56.12")
    one.press("Enter")
    read = Event.objects.get(step=step, kind="READ")
    assert (str(read.person), read.data["readings"][0]["value"]) == (
        "Finisher Cast",
        "56.12",
    )
    one.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    signed_in(one, badges["joiner"])
    assert name_of(one) == "Joiner Cast"
    assert page.input_value("#value") == "56.1"


@pytest.mark.point(21)
def test_scans_before_a_badge_are_the_formers_and_those_after_it_the_nexts(
    floor: Halfway, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    first, last = floor.come_to("Machine").part, floor.come_to("Machine").part
    one = signed_in(bench(), badges["joiner"])
    asked: list[tuple[str, str]] = []
    one.page.on(
        "request",
        lambda it: (
            asked.append((it.method, it.post_data or it.url))
            if "/station/CUTTER/?" in it.url or it.url.endswith("/sign-in/")
            else None
        ),
    )
    one.page.evaluate(BURST, [first.code, badges["finisher"], last.code])
    one.page.wait_for_url(f"**code={last.code}**")
    one.settle()
    assert name_of(one) == "Finisher Cast"
    parts = {first.code: "first", last.code: "last"}
    order = [
        "badge"
        if method == "POST"
        else parts[parse_qs(urlsplit(text).query)["code"][0]]
        for method, text in asked
        if method == "POST" or "scanned=1" in text
    ]
    assert order == ["first", "badge", "last"]
    assert not any("/B/" in text for method, text in asked if method == "GET")


@pytest.mark.point(24)
def test_nobody_there_is_warned_a_minute_ahead_and_signed_out_and_loses_nothing(
    floor: Halfway, step: Step, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench(clock=True)
    page = one.page
    signed_in(one, badges["joiner"])
    pocket(floor, one)
    page.fill("#value", "56.1")
    one.clock.fast_forward(8 * MINUTE_MS + 50_000)
    one.clock.run_for(1000)
    assert not page.is_visible("dialog.idle")
    one.clock.fast_forward(15_000)
    one.clock.run_for(1000)
    one.shows("Is anybody there?", "Joiner Cast is signed out. What was typed is kept.")
    one.picture("who-idle")
    page.click("[data-shop-idle-stay]")
    assert not page.is_visible("dialog.idle")
    one.clock.fast_forward(9 * MINUTE_MS)
    one.clock.run_for(1000)
    assert page.is_visible("dialog.idle")
    key = next(it["value"] for it in one.context.cookies() if it["name"] == "sessionid")
    one.clock.fast_forward(MINUTE_MS)
    one.clock.run_for(1000)
    page.wait_for_selector("[data-shop-signin]")
    one.shows("Nobody is signed in")
    assert not Session.objects.filter(session_key=key).exists()
    # The page is there before its scripts listen.
    one.settle()
    page.evaluate(BURST, [badges["joiner"]])
    page.wait_for_selector("#value")
    one.settle()
    assert page.input_value("#value") == "56.1"


def test_a_touch_is_told_to_the_server_now_and_then(
    floor: Halfway, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench(clock=True)
    signed_in(one, badges["joiner"])
    told: list[str] = []
    one.page.on("request", lambda it: told.append(it.url) if "here" in it.url else None)
    for _ in range(30):
        one.page.keyboard.press("Shift")
        one.clock.run_for(2000)
    one.page.wait_for_timeout(200)
    assert 2 <= len(told) <= 4


@pytest.mark.point(25)
def test_without_the_network_the_screen_is_covered_until_nobody_is_signed_in(
    floor: Halfway, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench(clock=True)
    page = one.page
    signed_in(one, badges["joiner"])
    one.context.set_offline(True)
    one.clock.fast_forward(10 * MINUTE_MS)
    one.clock.run_for(2000)
    page.wait_for_selector("text=Waiting for the network")
    page.keyboard.press("Escape")
    assert page.is_visible("dialog.idle-out")
    one.context.set_offline(False)
    one.clock.run_for(6000)
    page.wait_for_selector("[data-shop-signin]")


@pytest.mark.point(25)
def test_after_leaving_going_back_shows_nothing(
    floor: Halfway, step: Step, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench()
    signed_in(one, badges["joiner"])
    pocket(floor, one)
    one.touch("#person button")
    one.shows("Nobody is signed in")
    one.page.go_back()
    one.settle()
    one.shows("Nobody is signed in")
    assert step.part.instrument.serial not in one.page.inner_text("body")


def test_a_tablet_that_was_put_out_is_told_by_its_own_asking(
    floor: Halfway, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench(clock=True)
    signed_in(one, badges["joiner"])
    mine = Row.objects.order_by("-pk")[0]
    revoke_tablet(tablet=mine, by=floor.shop.cast.lead, at=floor.shop.now)
    told = one.page.get_by_text("This tablet is no longer let in.")
    # By the second: at one stroke, what is just being asked would be given up.
    for _ in range(30):
        one.clock.run_for(1000)
        one.settle()
        if told.is_visible():
            break
    told.wait_for()
    assert TABLET_COOKIE not in {it["name"] for it in one.context.cookies()}


def test_without_script_a_pin_signs_in_and_a_tap_leaves(
    floor: Halfway, bench: Callable[..., Tablet], badges: dict[str, str]
) -> None:
    one = bench(scripts=False)
    page = one.page
    page.fill("#number", NUMBERS["joiner"])
    page.fill("#pin", PIN)
    page.click(".keys-enter")
    assert name_of(one) == "Joiner Cast"
    page.click("#person button")
    # The badge field has the focus by itself.
    page.wait_for_selector("#badge:focus")
    one.wedge(badges["finisher"])
    page.wait_for_selector("#person:has-text('Finisher Cast')")


@pytest.mark.parametrize("size", ["1280x800", "1024x768", "800x1280"])
def test_the_sign_in_needs_no_scrolling_and_its_keys_are_large(
    bench: Callable[..., Tablet], size: str
) -> None:
    one = bench()
    one.picture("who-signin", size=size)
    keys = one.page.locator("[data-shop-key], .keys-enter")
    high = int(size.split("x")[1])
    for index in range(keys.count()):
        box = keys.nth(index).bounding_box()
        assert box
        assert min(box["width"], box["height"]) >= 96
        assert box["y"] + box["height"] <= high
    assert one.axe() == []
