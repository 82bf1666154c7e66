"""Is every scan answered at once, so that nobody at a machine can miss it?

By sight, by sounds that differ in rhythm, by words that stay: points 11 to 13, 28 to 30
of docs/points.md.  The clock of the page is moved by hand where time matters.
"""

from collections.abc import Callable, Sequence

import pytest
from playwright.sync_api import Request, Route

from tests.browser.conftest import Tablet, of_a_scan
from tests.browser.halfway import Halfway
from tests.browser.test_bench_habits import HAND_MS, told
from travelers.floor.rules import Wish
from travelers.formulas import codes

# Keys as a scanner or a hand presses them, with the times at which they came: no real
# time passes, so that no busy machine can stretch it. Gives what the page looked like
# in the very moment of the last key.
KEYS = """({code, gaps, at}) => {
  [...code, "Enter"].forEach((key, place) => {
    const event = new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true});
    Object.defineProperty(event, "timeStamp", {value: at});
    at += gaps[place % gaps.length];
    document.activeElement.dispatchEvent(event);
  });
  const form = document.querySelector("[data-shop-scan]");
  return {asking: form.hasAttribute("data-shop-asking"),
    shown: form.querySelector("input:not([type=hidden])").value,
    waiting: form.dataset.shopWaiting || ""};
}"""
# Ways to hear what the page plays, and what it shakes.
LISTEN = """
window.played = [];
window.shaken = [];
const at = {setValueAtTime() {}, linearRampToValueAtTime() {}};
window.AudioContext = class {
  currentTime = 0;
  resume() {}
  createOscillator() {
    let began = 0;
    return {frequency: {}, connect: () => ({connect() {}}),
      start: (when) => { began = when; },
      stop: (when) => { played.push(Math.round((when - began) * 1000)); }};
  }
  createGain() { return {gain: at, connect() {}}; }
};
Object.defineProperty(Navigator.prototype, "vibrate",
  {value: (beats) => { shaken.push(beats); return true; }});
"""
SECOND = 1000
# What a loaded browser made of gaps of 5 ms, as once recorded.
STUTTER = [8, 12, 49, 9, 22, 31, 8, 14]


@pytest.fixture
def joiner(floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    one: Tablet = tablet()
    one.page.add_init_script(LISTEN)
    one.enter(floor.shop.cast.joiner)
    return one


def asked_by(one: Tablet) -> list[str]:
    """Note which codes the page asks the server about."""
    asked: list[str] = []

    def note(request: Request) -> None:
        if "scanned=1" in request.url:
            asked.append(request.url.split("code=")[1].split("&")[0])

    one.page.on("request", note)
    return asked


def keys(
    one: Tablet, code: Sequence[str], *gaps: float, at: float = 5000.0
) -> dict[str, str | bool]:
    found: dict[str, str | bool] = one.page.evaluate(
        KEYS, {"code": code, "gaps": gaps or [5], "at": at}
    )
    return found


def stop_the_clock(one: Tablet, path: str) -> None:
    """Open a page whose clock moves by hand alone."""
    one.clock.install(time=0)
    one.clock.pause_at(SECOND)
    one.go(path)


# --- At once


@pytest.mark.point(11, 32)
def test_a_scan_is_seen_with_its_last_key_before_any_answer(
    floor: Halfway, joiner: Tablet
) -> None:
    """In the same turn of the browser, so the next picture of the screen has it."""
    first, second = floor.come_to("Saw").part, floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    held: list[Route] = []
    joiner.page.route(of_a_scan, lambda route: held.append(route), times=1)
    field = joiner.page.locator("#scan")
    height = head(joiner)
    before = field.evaluate("(one) => getComputedStyle(one).backgroundColor")
    seen = keys(joiner, first.code)
    assert seen == {"asking": True, "shown": first.code, "waiting": ""}
    after = field.evaluate("(one) => getComputedStyle(one).backgroundColor")
    assert before != after
    seen = keys(joiner, second.code, at=5300)
    assert (seen["shown"], seen["waiting"]) == (first.code, "+1")
    assert head(joiner) == height, "what is shown pushes the page away"
    joiner.page.wait_for_timeout(100)
    held[0].continue_()
    shown = joiner.page.locator(".instrument", has_text=second.instrument.serial)
    shown.wait_for()
    joiner.settle()
    assert keys_of(joiner) == {"asking": False, "waiting": ""}


def head(one: Tablet) -> float:
    box = one.page.locator(".station-head").bounding_box()
    assert box
    return box["height"]


def keys_of(one: Tablet) -> dict[str, str | bool]:
    found: dict[str, str | bool] = one.page.locator("[data-shop-scan]").evaluate(
        """(form) => ({asking: form.hasAttribute("data-shop-asking"),
        waiting: form.dataset.shopWaiting || ""})"""
    )
    return found


@pytest.mark.point(11)
def test_the_answer_comes_within_a_second(floor: Halfway, joiner: Tablet) -> None:
    """The quickest of five: a busy machine may delay some, but hardly all."""
    tags = [floor.come_to("Saw").part.code for _ in range(5)]
    joiner.go("/station/SAW/")
    joiner.page.evaluate(
        """window.took = []; window.began = 0;
        addEventListener("htmx:afterSettle",
          () => took.push(performance.now() - began))"""
    )
    for place, code in enumerate(tags):
        joiner.page.evaluate("began = performance.now()")
        keys(joiner, code, at=5000.0 + 3000 * place)
        joiner.page.wait_for_timeout(60)
        joiner.settle()
    took = joiner.page.evaluate("took")
    assert len(took) >= len(tags)
    assert min(took) <= SECOND


@pytest.mark.point(11, 12)
@pytest.mark.parametrize("motion", ["no-preference", "reduce"])
@pytest.mark.parametrize("code", ["right", "wrong"])
def test_a_bar_across_the_screen_stays_long_enough_and_words_stay_longer(
    code: str, motion: str, floor: Halfway, joiner: Tablet
) -> None:
    part = floor.come_to("Saw").part
    joiner.page.emulate_media(reduced_motion=motion)  # type: ignore[arg-type]
    scanned = part.code if code == "right" else "P7777770"
    stop_the_clock(joiner, f"/station/SAW/?scanned=1&code={scanned}")
    for more in (0, 700, 800):
        joiner.clock.run_for(more)
        box = joiner.page.locator(".answer-flash").bounding_box()
        assert box
        assert (box["x"], box["width"]) == (0, 1280)
        assert box["height"] >= 0.15 * 800
    joiner.clock.run_for(6 * SECOND)
    assert joiner.page.locator(".answer-flash").count() == 0
    joiner.shows(
        "Start" if code == "right" else "One character of P7777770 is not right."
    )


@pytest.mark.point(11)
def test_answers_sound_different_in_rhythm_and_each_can_be_tried(
    floor: Halfway, joiner: Tablet
) -> None:
    joiner.go("/station/SAW/help/")
    rhythms: list[list[int]] = []
    for name in ("Accepted", "Refused", "Needs a look"):
        joiner.page.get_by_role("button", name=f"Try: {name}").click()
        joiner.shows(name)
        flash = joiner.page.locator(".answer-flash")
        assert name in flash.inner_text()
        rhythms.append(joiner.page.evaluate("played.splice(0)"))
    assert rhythms == [[90, 90], [380, 380], [90, 380]]
    shaken = joiner.page.evaluate("shaken")
    assert len({tuple(beats) for beats in shaken}) == 3


@pytest.mark.point(11)
def test_a_scan_is_heard_and_a_muted_tablet_still_says_it(
    floor: Halfway, joiner: Tablet
) -> None:
    part = floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    joiner.scan(part.code)
    assert joiner.page.evaluate("played.splice(0)") == [90, 90]
    joiner.scan("P7777770")
    assert joiner.page.evaluate("played.splice(0)") == [380, 380]
    joiner.page.get_by_text("Flash and sound").click()
    joiner.page.get_by_label("Answer a scan with a sound").uncheck()
    joiner.go("/station/SAW/")
    joiner.scan("P7777770")
    assert joiner.page.evaluate("played") == []
    assert "Refused" in joiner.page.locator(".answer-flash").inner_text()
    assert joiner.page.locator("[data-shop-refusal] svg").count() == 1


# --- What stays, and what is read aloud


@pytest.mark.point(12)
def test_a_refusal_stays_until_somebody_acts(floor: Halfway, joiner: Tablet) -> None:
    stop_the_clock(joiner, "/station/SAW/?scanned=1&code=P7777770")
    joiner.clock.run_for(10 * 60 * SECOND)
    refusal = joiner.page.locator("[data-shop-refusal]")
    assert refusal.is_visible()
    joiner.shows("One character of P7777770 is not right.", "Back to the list")


@pytest.mark.point(12)
def test_a_hint_on_the_lists_is_there_for_six_seconds(
    floor: Halfway, joiner: Tablet
) -> None:
    tag = floor.shop.cast.gauges["caliper"].tag
    stop_the_clock(joiner, f"/station/SAW/?scanned=1&code={tag}")
    # Something happens on the floor meanwhile, which the lists will want to show.
    floor.come_to("Saw")
    joiner.clock.run_for(6 * SECOND)
    joiner.page.wait_for_load_state("networkidle")
    joiner.shows("caliper is at hand for all its checks")


@pytest.mark.point(13)
def test_what_changes_is_told_to_a_screen_reader(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    joiner.go("/station/SAW/")
    page = joiner.page
    assert page.locator("#network[role=status], #messages[role=status]").count() == 2
    joiner.scan(step.part.code)
    assert page.locator("#scene [role=status]").inner_text().strip() == "Saw"
    joiner.press("Start")
    joiner.page.locator(
        "#scene [role=status]", has_text="The work is begun."
    ).wait_for()
    joiner.scan(step.part.code[:7])
    alert = page.locator("#scene [role=alert]")
    assert "Only a piece of the code came in" in alert.inner_text()
    assert "Scan again" in alert.inner_text()


# --- What is a scan, and what is one twice


@pytest.mark.point(28)
def test_a_scanner_is_known_by_its_speed(floor: Halfway, joiner: Tablet) -> None:
    speeds = ([5], [15], [35], [60], STUTTER)
    tags = [floor.come_to("Saw").part.code for _ in speeds]
    joiner.go("/station/SAW/")
    asked = asked_by(joiner)
    for place, (code, gaps) in enumerate(zip(tags, speeds, strict=True)):
        seen = keys(joiner, code, *gaps, at=5000.0 + 3000 * place)
        assert seen["asking"] is True, f"{gaps} ms a key is a scanner"
        joiner.page.wait_for_timeout(60)
        joiner.settle()
    assert asked == tags


@pytest.mark.point(28)
def test_a_scanner_is_known_by_its_prefix_however_slowly_it_types(
    floor: Halfway, joiner: Tablet
) -> None:
    tags = [floor.come_to("Saw").part.code for _ in range(4)]
    joiner.go("/station/SAW/")
    asked = asked_by(joiner)
    before = joiner.page.input_value("#scan")
    typed: list[Sequence[str]] = [
        f"~{tags[0]}",
        ["F9", *tags[1]],
        f"]Q3{tags[2]}",
        f"~]Q1{tags[3]}",
    ]
    for place, text in enumerate(typed):
        gap = 5 if text[0] == "]" else HAND_MS
        seen = keys(joiner, text, gap, at=5000.0 + 5000 * place)
        assert seen["asking"] is True, f"{text} is a scan"
        joiner.page.wait_for_timeout(60)
        joiner.settle()
    assert asked == tags
    assert joiner.page.input_value("#scan") == before
    # A hand that writes the sign writes on, and so does one that writes a code.
    for place, text in enumerate(("~ 3 mm off", "~56.1", tags[0])):
        seen = keys(joiner, text, HAND_MS, at=90_000.0 + 5000 * place)
        assert seen["asking"] is False, f"{text!r} is written by hand"
    assert asked == tags


@pytest.mark.point(28)
def test_a_hand_is_no_scanner(floor: Halfway, joiner: Tablet) -> None:
    joiner.go("/station/SAW/")
    joiner.page.evaluate("document.activeElement.blur()")
    asked = asked_by(joiner)
    typed = (("P000010F", HAND_MS), ("P000010F", 120), ("the grain", 60), ("P0001", 5))
    for place, (text, gap) in enumerate(typed):
        seen = keys(joiner, text, gap, at=5000.0 + 3000 * place)
        assert seen["asking"] is False, f"{text!r}, {gap} ms a key, is a hand"
        # The silence after which a burst is over passes as well.
        joiner.page.wait_for_timeout(150)
    joiner.settle()
    assert asked == []


@pytest.mark.point(30)
def test_the_same_code_within_two_seconds_is_one_scan(
    floor: Halfway, joiner: Tablet
) -> None:
    part = floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    asked = asked_by(joiner)
    for at in (5000, 5400, 6900):
        keys(joiner, part.code, at=at)
        joiner.page.wait_for_timeout(60)
        joiner.settle()
    assert asked == [part.code]
    # Once as it was taken, and a short soft tick for each time it came again.
    assert sorted(joiner.page.evaluate("played.splice(0)")) == [60, 60, 90, 90]
    keys(joiner, part.code, at=7200)
    joiner.page.wait_for_timeout(60)
    joiner.settle()
    assert asked == [part.code, part.code]
    # After a press the screen is another one, and the code is a new question.
    joiner.press("List")
    keys(joiner, part.code, at=7900)
    joiner.page.wait_for_timeout(60)
    joiner.settle()
    assert asked == [part.code] * 3


@pytest.mark.point(30)
def test_a_code_scanned_again_says_who_began_and_when(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    floor.shop.must(Wish.START, step, by="finisher")
    joiner.go("/station/SAW/")
    joiner.scan(step.part.code)
    step.refresh_from_db()
    local = step.started_at.strftime("%H:%M")
    said = joiner.page.locator(".said").inner_text()
    assert "Finisher Cast" in said
    assert said.startswith("Begun ")
    assert local[-2:] in said
    assert told(step.part) == ["START"]


@pytest.mark.point(29)
def test_a_french_keyboard_is_read_and_a_german_one_is_asked_about(
    floor: Halfway, joiner: Tablet
) -> None:
    part = floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    joiner.scan(french(part.code))
    joiner.shows(part.instrument.serial, "Start")
    made = (part for _ in range(40) for part in floor.instrument().parts.all())
    other = next(part for part in made if not codes.is_right(german(part.code)))
    floor.tell_the_time()
    joiner.scan(german(other.code))
    joiner.shows("another keyboard layout", "the lead sets the layout right")
    joiner.page.locator(".unread-list a", has_text=other.instrument.serial).click()
    joiner.settle()
    joiner.shows(other.instrument.serial, codes.grouped(other.code))


def german(code: str) -> str:
    return code.translate(str.maketrans("YZ", "ZY"))


def french(code: str) -> str:
    """Type a code as a scanner set to US does on a French keyboard (from memory)."""
    return code.translate(str.maketrans("1234567890AQWZM", "&é\"'(-è_çàQAZW?"))
