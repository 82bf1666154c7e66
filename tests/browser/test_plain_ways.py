"""Does the work go on when something is missing: script, mouse, session, patience?

No script at all; only a keyboard; a session that ended while a value was typed; five
megabytes where a code belongs; a board that nobody reloads; a flash that somebody does
not want.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import APIResponse, Page

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from tests.browser.test_bench_habits import HAND_MS, state, told
from travelers.floor.rules import Wish
from travelers.orders.models import Part
from travelers.quality.models import Defect
from travelers.shop.models import Session

FIVE_MEGABYTES = "9" * 5_000_000
# The board asks every five seconds and must show a change within six.
SHOWN_WITHIN_S = 6
MOST_TABS = 14


# --- Without script


@pytest.fixture
def bare(floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    """Give a tablet whose browser runs no script."""
    one: Tablet = tablet(scripts=False)
    one.sign_in("joiner")
    return one


def scan_by_form(one: Tablet, text: str) -> None:
    one.page.fill("#scan", text)
    one.touch(".station-scan button")


@pytest.mark.point(34)
def test_without_script_a_step_is_scanned_checked_and_done(
    floor: Halfway, bare: Tablet
) -> None:
    step = floor.come_to("Machine")
    bare.go("/station/CUTTER/")
    scan_by_form(bare, step.part.code)
    bare.press("Start")
    bare.shows("The work is begun.")
    bare.press("Check: Pocket width")
    for typed, says in (("561", "56.1 mm may have been meant"), ("56,1", "inside.")):
        bare.page.select_option("#gauge", label="caliper")
        bare.page.fill("#value", typed)
        bare.press("Enter")
        bare.shows(says)
    bare.press("Done")
    assert (told(step.part)[-3:], state(step)) == (["START", "READ", "FINISH"], "DONE")


def test_without_script_a_join_takes_its_mates_and_refuses_others(
    floor: Halfway, bare: Tablet
) -> None:
    step = floor.begin("Glue")
    bare.go("/station/CLAMPS/")
    scan_by_form(bare, step.part.code)
    scan_by_form(bare, floor.come_to("Saw").part.code)
    bare.shows("This tag belongs to", "floor.wrong_mate")
    for piece in step.part.plank_set.pieces.order_by("letter"):
        scan_by_form(bare, piece.code)
    bare.press("Done")
    bare.shows("It lies here until")


def test_without_script_a_defect_is_touched_named_and_recorded(
    floor: Halfway, bare: Tablet
) -> None:
    step = floor.begin("Machine")
    bare.go(f"/station/CUTTER/?code={step.part.code}")
    bare.press("Defect")
    picture = bare.page.locator("input[type=image]")
    picture.click(position={"x": 180, "y": 126})
    bare.settle()
    bare.page.get_by_text("tear-out", exact=True).click()
    bare.press("Record")
    bare.shows("The defect is on record.")
    found = Defect.objects.get(part=step.part)
    assert [float(found.x), float(found.y)] == pytest.approx([0.25, 0.25])


def test_without_script_a_hold_is_placed_and_seen(floor: Halfway, bare: Tablet) -> None:
    step = floor.come_to("Saw")
    bare.go(f"/station/SAW/?code={step.part.code}")
    bare.page.locator("details.hold summary").click()
    bare.page.fill("#hold-reason", "the grain runs out")
    bare.touch("details.hold button.press")
    bare.shows("has been held since", "the grain runs out")
    assert told(step.part) == ["HOLD"]


# --- With the keyboard alone


def tab_to(page: Page, name: str) -> None:
    """Press Tab until the named control has the focus, which must be seen each time."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        said, ring = page.evaluate(
            """() => { const at = document.activeElement, style = getComputedStyle(at);
            return [at.innerText || at.getAttribute("aria-label") || at.id,
            style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth)]; }"""
        )
        assert ring >= 2, f"the focus on {said!r} is not seen"
        if said.strip() == name:
            return
    raise AssertionError(f"{MOST_TABS} tabs did not lead to {name!r}")


@pytest.mark.point(6, 16)
def test_the_keyboard_alone_does_a_plain_operation(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    joiner.go("/station/SAW/")
    page = joiner.page
    # The scan field has the focus by itself; a hand types the code into it.
    page.keyboard.type(step.part.code, delay=HAND_MS)
    page.keyboard.press("Enter")
    joiner.settle()
    for name in ("Start", "Done"):
        tab_to(page, name)
        # A hand takes longer between two presses than what counts as one tap.
        page.wait_for_timeout(450)
        page.keyboard.press("Enter")
        joiner.settle()
    assert (told(step.part), state(step)) == (["START", "FINISH"], "DONE")


@pytest.mark.point(6)
def test_the_keyboard_alone_reads_a_value_and_records_a_defect(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.begin("Fret", "NECK")
    joiner.go(f"/station/FRETS/?code={step.part.code}")
    page = joiner.page
    tab_to(page, "Check: Fret height")
    page.keyboard.press("Enter")
    joiner.settle()
    assert page.evaluate("document.activeElement.id") == "value"
    for typed in ("1.2", "1,21", "1.22"):
        page.keyboard.type(typed, delay=HAND_MS)
        page.keyboard.press("Enter")
        joiner.settle()
    joiner.shows("Fret height, fret 3: 1.22 mm, inside.")
    assert told(step.part)[-3:] == ["READ"] * 3


# --- When the session ends


@pytest.mark.point(19)
def test_what_was_typed_is_there_after_signing_in_again(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["pocket"] = step = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    page = joiner.page
    page.select_option("#gauge", label="old caliper – overdue since 31 Jan 2026")
    page.fill("#value", "56.13")
    Session.objects.all().delete()
    joiner.press("Enter")
    joiner.shows("Sign in", "Password")
    _sign_in_here(joiner)
    joiner.shows("Pocket width")
    chosen = page.eval_on_selector("#gauge", "(one) => one.selectedOptions[0].text")
    assert page.input_value("#value") == "56.13"
    assert chosen.startswith("old caliper")
    assert told(step.part)[-1] == "START"
    page.select_option("#gauge", label="caliper")
    joiner.press("Enter")
    joiner.shows("Pocket width: 56.13 mm, inside.")


def test_a_reason_typed_for_a_hold_is_there_after_signing_in_again(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    joiner.go(f"/station/SAW/?code={step.part.code}")
    joiner.page.locator("details.hold summary").click()
    joiner.page.fill("#hold-reason", "a knot under the bridge")
    Session.objects.all().delete()
    joiner.touch("details.hold button.press")
    _sign_in_here(joiner)
    joiner.shows(step.part.instrument.serial)
    assert joiner.page.input_value("#hold-reason") == "a knot under the bridge"
    assert told(step.part) == []


def test_what_one_person_typed_is_not_shown_to_another(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["pocket"] = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    joiner.page.fill("#value", "56.13")
    joiner.enter(floor.shop.cast.finisher)
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    assert joiner.page.input_value("#value") == ""


def test_after_signing_out_going_back_shows_nothing_of_the_work(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    joiner.go(f"/station/SAW/?code={step.part.code}")
    joiner.go("/")
    joiner.press("Sign out")
    joiner.page.go_back()
    joiner.page.go_back()
    joiner.settle()
    joiner.shows("Password")
    assert step.part.instrument.serial not in joiner.page.inner_text("body")


def _sign_in_here(one: Tablet) -> None:
    one.page.fill("input[name=username]", "joiner")
    one.page.fill("input[name=password]", "plank-and-string")
    one.press("Sign in")


# --- Too much


@pytest.mark.parametrize(
    ("field", "says"),
    [("#scan", "The code came in too long"), ("#value", "has more digits than any")],
)
def test_megabytes_pasted_into_a_field_are_answered(
    floor: Halfway, joiner: Tablet, field: str, says: str
) -> None:
    floor.steps["pocket"] = step = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    joiner.page.focus(field)
    joiner.page.keyboard.insert_text(FIVE_MEGABYTES)
    assert len(joiner.page.input_value(field)) <= 512
    joiner.page.keyboard.press("Enter")
    joiner.settle()
    joiner.shows(says)
    assert told(step.part)[-1] == "START"
    joiner.scan(step.part.code)
    joiner.shows("Check: Pocket width")


@pytest.mark.parametrize("where", ["wish", "reading"])
def test_megabytes_sent_past_the_field_are_refused_and_the_shop_goes_on(
    floor: Halfway, joiner: Tablet, where: str
) -> None:
    floor.steps["pocket"] = step = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    token = joiner.page.input_value(".check [name=csrfmiddlewaretoken]")
    sent = {"csrfmiddlewaretoken": token, "value": FIVE_MEGABYTES, "mate": "X"}
    asking = joiner.page.request
    answer = asking.post(f"{joiner.home}/station/CUTTER/{where}/", form=sent)
    assert answer.status == 422
    assert "That is more text than any field here takes." in answer.text()
    assert told(step.part)[-1] == "START"
    assert _is_fine(asking.get(f"{joiner.home}/station/CUTTER/"))


def _is_fine(answer: APIResponse) -> bool:
    return answer.status == 200 and "In work here" in answer.text()


# --- The board and the flash


def test_the_board_hears_of_a_change_by_itself_and_else_of_nothing(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    step = floor.come_to("Saw")
    one: Tablet = tablet()
    one.enter(floor.shop.cast.planner)
    one.go("/board/")
    page = one.page
    with page.expect_response("**/board/?seen=*", timeout=8000) as quiet:
        pass
    assert (quiet.value.status, quiet.value.body()) == (204, b"")
    at_work = _figure(page, "in work")
    floor.shop.must(Wish.START, step)
    for _ in range(SHOWN_WITHIN_S * 10):
        page.wait_for_timeout(100)
        if _figure(page, "in work") == at_work + 1:
            break
    else:
        raise AssertionError(f"nothing changed within {SHOWN_WITHIN_S} s")
    part = Part.objects.get(pk=step.part_id)
    assert (part.look, state(step)) == ("IN_WORK", "RUNNING")


def _figure(page: Page, name: str) -> int:
    found = page.locator(".figures div", has_text=name).locator("dd")
    return int(found.inner_text()) if found.count() else 0


@pytest.mark.point(11)
def test_flash_and_sound_can_be_switched_off_and_stay_off(
    floor: Halfway, joiner: Tablet
) -> None:
    code = floor.come_to("Saw").part.code
    joiner.go("/station/SAW/")
    flash = joiner.page.locator(".answer-flash")
    joiner.scan(code)
    assert flash.count() == 1
    joiner.page.get_by_text("Flash and sound").click()
    joiner.page.get_by_label("Answer a scan across the screen").uncheck()
    joiner.page.get_by_label("Answer a scan with a sound").uncheck()
    joiner.go("/station/SAW/")
    joiner.scan(code)
    assert flash.count() == 0
    joiner.shows("Start")
    kept = joiner.page.evaluate(
        "['flash', 'sound'].map((what) => localStorage.getItem(`shop-answer-${what}`))"
    )
    assert kept == ["off", "off"]
