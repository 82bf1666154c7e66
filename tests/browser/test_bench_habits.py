"""What does the person at the bench do that nobody planned?

Scans with the focus anywhere, twenty in a row, half of one, one of somebody else's;
presses twice, presses again after going back, presses on a screen that is long out of
date; types a letter, a comma, inches.  Nothing is lost, nothing counts twice, and every
answer says what to do.
"""

from collections.abc import Callable

import pytest
from playwright.sync_api import Request, Route

from tests.browser import halfway
from tests.browser.conftest import Tablet, of_a_scan
from tests.browser.halfway import Halfway
from travelers.floor.models import Event
from travelers.orders.models import Part, Step

# How fast the fastest hand types (ms a key).
HAND_MS = 130
BRANCHES = ("BODY", "NECK")
# Twenty scans in so many seconds.
MOST_SECONDS = 10
# Many scans within two seconds. By the page itself: on a busy machine keys from outside
# come with pauses that no scanner makes.
BURST = """async (codes) => {
  for (const code of codes) {
    for (const key of [...code, "Enter"])
      document.activeElement.dispatchEvent(
        new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
    await new Promise((done) => setTimeout(done, 60));
  }
}"""


# Two taps at one place. By the page itself, which times them by its own clock: what
# comes from outside comes later on a busy machine.
TWICE = """async ([x, y, pause]) => {
  const tap = () => document.elementFromPoint(x, y).click();
  tap();
  await new Promise((done) => setTimeout(done, pause));
  tap();
}"""


def told(part: Part, *, accepted: bool = True) -> list[str]:
    """Give what the ledger has of a part, oldest first."""
    rows = Event.objects.filter(part=part, accepted=accepted).order_by("seq")
    return [str(kind) for kind in rows.values_list("kind", flat=True)]


def state(step: Step) -> str:
    return str(Step.objects.values_list("state", flat=True).get(pk=step.pk))


def pocket(floor: Halfway, joiner: Tablet) -> Step:
    """Open the check of a pocket's width, 56.05 to 56.20 mm, on the screen."""
    floor.steps["pocket"] = step = floor.begin("Machine")
    joiner.go(floor.address("pocket", check=floor.check_of("pocket"), place=1))
    return step


# --- Scans


@pytest.mark.point(27)
@pytest.mark.parametrize(
    ("field", "typed", "open_by"),
    [
        ("#value", "56.1", ""),
        ("#hold-reason", "the grain", "details.hold summary"),
    ],
)
def test_a_scan_does_not_land_in_the_field_that_has_the_focus(
    floor: Halfway, joiner: Tablet, field: str, typed: str, open_by: str
) -> None:
    step, other = pocket(floor, joiner), floor.come_to("Saw")
    page = joiner.page
    if open_by:
        joiner.press("Back")
        page.locator(open_by).click()
    page.fill(field, typed)
    page.focus(field)
    waiting: list[Route] = []
    page.route(of_a_scan, lambda route: waiting.append(route), times=1)
    joiner.wedge(other.part.code)
    page.wait_for_timeout(250)
    assert page.input_value(field) == typed
    (asked,) = waiting
    assert f"code={other.part.code}" in asked.request.url
    asked.continue_()
    joiner.settle()
    joiner.shows(other.part.instrument.serial)
    assert told(step.part)[-1] == "START"


@pytest.mark.point(27)
def test_a_scanned_gauge_comes_to_hand_and_what_was_typed_stays(
    floor: Halfway, joiner: Tablet
) -> None:
    pocket(floor, joiner)
    page = joiner.page
    page.select_option("#gauge", label="choose")
    page.fill("#value", "56.1")
    joiner.scan(floor.shop.cast.gauges["caliper"].tag)
    page.wait_for_selector("#gauge")
    chosen = page.eval_on_selector("#gauge", "(one) => one.selectedOptions[0].text")
    assert (chosen, page.input_value("#value")) == ("caliper", "56.1")


@pytest.mark.point(28)
def test_a_gauge_that_types_is_a_reading_and_no_scan(
    floor: Halfway, joiner: Tablet
) -> None:
    step = pocket(floor, joiner)
    joiner.page.focus("#value")
    joiner.wedge("+56.120")
    joiner.settle()
    joiner.shows("Pocket width: 56.12")
    assert told(step.part)[-1] == "READ"


@pytest.mark.point(28)
def test_a_code_written_by_hand_stays_where_it_is_written(
    floor: Halfway, joiner: Tablet
) -> None:
    step, other = floor.begin("Saw"), floor.come_to("Saw")
    floor.steps["saw"] = step
    joiner.go(floor.address("saw"))
    joiner.page.locator("details.hold summary").click()
    joiner.page.focus("#hold-reason")
    words = f"see {other.part.code}"
    joiner.page.keyboard.type(words, delay=HAND_MS)
    assert joiner.page.input_value("#hold-reason") == words
    joiner.shows(step.part.instrument.serial)


@pytest.mark.point(29, 32)
def test_twenty_scans_come_in_order_while_the_server_is_slow(
    floor: Halfway, joiner: Tablet
) -> None:
    made = floor.shop.instruments(10)
    parts = [floor.shop.part(one, branch) for one in made for branch in BRANCHES]
    floor.tell_the_time()
    joiner.go("/station/SAW/")
    asked, slow = _listen(joiner, slow=parts[0].code)
    # Half of them in small letters, as with Caps Lock on.
    codes = [part.code for part in parts]
    codes[1::2] = [code.lower() for code in codes[1::2]]
    joiner.page.evaluate(BURST, codes)
    assert len(asked) == 1
    slow[0].continue_()
    _until(joiner, lambda: len(asked) == len(parts))
    assert [code.upper() for code in asked] == [part.code for part in parts]
    joiner.settle()
    joiner.shows(parts[-1].instrument.serial)


def test_scans_that_meet_their_answers_stay_on_the_page(
    floor: Halfway, joiner: Tablet
) -> None:
    codes = [floor.come_to("Saw").part.code for _ in range(6)]
    joiner.go("/station/SAW/")
    asked, _ = _listen(joiner)
    joiner.page.evaluate("window.same = true")
    joiner.page.evaluate(BURST, codes)
    _until(joiner, lambda: len(asked) == len(codes))
    assert joiner.page.evaluate("window.same") is True
    assert asked == codes


@pytest.mark.point(32)
def test_a_code_written_by_hand_waits_for_the_scan_before_it(
    floor: Halfway, joiner: Tablet
) -> None:
    first, second = floor.come_to("Saw").part, floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    asked, slow = _listen(joiner, slow=first.code)
    joiner.page.evaluate(BURST, [first.code])
    _until(joiner, lambda: bool(slow))
    for _ in range(2):
        # Nothing seems to happen, so Enter is pressed once more.
        joiner.page.fill("#scan", second.code)
        joiner.page.keyboard.press("Enter")
    slow[0].continue_()
    # Not in the list, where it stands as well, but on the bench.
    shown = joiner.page.locator(".instrument", has_text=second.instrument.serial)
    shown.wait_for()
    assert asked[:2] == [first.code, second.code]


def _listen(one: Tablet, *, slow: str = "") -> tuple[list[str], list[Route]]:
    """Note which codes the page asks about; hold back the question about one."""
    asked: list[str] = []
    held: list[Route] = []

    def note(request: Request) -> None:
        if "scanned=1" in request.url:
            asked.append(request.url.split("code=")[1].split("&")[0])

    one.page.on("request", note)
    if slow:
        one.page.route(f"**/*{slow}*", lambda route: held.append(route), times=1)
    return asked, held


def _until(one: Tablet, so: Callable[[], bool]) -> None:
    """Wait for at most as long as twenty scans may take."""
    for _ in range(MOST_SECONDS * 10):
        one.page.wait_for_timeout(100)
        if so():
            return


def test_the_pieces_of_a_join_may_follow_each_other_without_a_pause(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.begin("Glue")
    floor.steps["glue"] = step
    joiner.go(floor.address("glue"))
    pieces = list(step.part.plank_set.pieces.order_by("letter"))
    joiner.page.evaluate(BURST, [piece.code for piece in pieces])
    for _ in range(50):
        if told(step.part)[-2:] == ["MATE", "MATE"]:
            break
        joiner.page.wait_for_timeout(100)
    joiner.settle()
    rows = Event.objects.filter(step=step, kind="MATE").order_by("seq")
    assert [row.data["mate"] for row in rows] == [piece.code for piece in pieces]
    joiner.press("Done")
    joiner.shows("It lies here until")


def test_a_piece_scanned_behind_presses_that_still_wait_is_taken_for_what_it_is(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.begin("Glue")
    floor.steps["glue"] = step
    joiner.go(floor.address("glue"))
    joiner.page.route("**/outbox/", lambda route: route.abort())
    # A remark that was made without network waits in the tablet, and is not taken yet.
    joiner.page.evaluate(
        """([code, step]) => shopOutbox.keep([shopOutbox.record(
          {wish: "HOLD", code, step, data: {reason: "look at the grain"}})])""",
        [floor.come_to("Saw").part.code, None],
    )
    piece = step.part.plank_set.pieces.order_by("letter").first()
    joiner.page.evaluate(BURST, [piece.code])
    joiner.shows("2 waiting")
    joiner.shows("Kept in this tablet")
    assert told(step.part)[-1] != "MATE"
    joiner.page.unroute("**/outbox/")
    _until(joiner, lambda: told(step.part)[-1] == "MATE")
    (row,) = Event.objects.filter(step=step, kind="MATE")
    assert row.data["mate"] == piece.code


@pytest.mark.point(31)
def test_half_a_code_says_how_much_is_missing(floor: Halfway, joiner: Tablet) -> None:
    code = floor.come_to("Saw").part.code
    joiner.go("/station/SAW/")
    joiner.scan(code[:7])
    joiner.shows(
        "Only a piece of the code came in", "Characters missing: 1", "Scan again"
    )
    joiner.page.fill("#scan", code[:4])
    joiner.page.keyboard.press("Enter")
    joiner.settle()
    joiner.shows("Characters missing: 4")
    joiner.scan(code + code)
    joiner.shows("Two scans may have run together")


@pytest.mark.point(31)
def test_a_misread_character_leads_to_the_tag_that_was_meant(
    floor: Halfway, joiner: Tablet
) -> None:
    part = floor.come_to("Saw").part
    joiner.go("/station/SAW/")
    wrong = "8" if part.code[4] != "8" else "9"
    joiner.scan(part.code[:4] + wrong + part.code[5:])
    joiner.shows("One character of", "Was it one of these?")
    serial = part.instrument.serial
    joiner.page.locator(".unread-list a", has_text=serial).click()
    joiner.settle()
    joiner.shows(serial, "Start")


@pytest.mark.point(31)
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("HTTPS://OTHER-SHOP.EXAMPLE/T/P7ZZZZ0H", "floor."),
        ("https://other-shop.example/buy?now=1", "This is not one of the shop's tags"),
        ("javascript:alert(document.cookie)", "This is not one of the shop's tags"),
        ("4006381333931", "The code came in too long"),
    ],
)
def test_what_is_not_ours_is_never_opened(
    floor: Halfway, joiner: Tablet, text: str, says: str
) -> None:
    joiner.go("/station/SAW/")
    joiner.page.on("dialog", lambda dialog: joiner.faults.append(dialog.message))
    joiner.scan(text)
    joiner.shows(says, "Back to the list")
    assert joiner.page.url.startswith(f"{joiner.home}/station/SAW/")
    assert joiner.page.locator("[data-shop-refusal]").count() == 1


def test_the_tag_of_what_left_the_floor_says_so(floor: Halfway, joiner: Tablet) -> None:
    halfway.close_two(floor)
    for name, how in (("finished", "finished"), ("scrapped", "scrapped")):
        joiner.go("/station/SAW/")
        joiner.scan(floor.part(name).code)
        joiner.shows("left the floor", f": {how}.", "Put the part aside")


# --- Presses


def test_at_the_wrong_station_it_says_where_to_go(
    floor: Halfway, joiner: Tablet
) -> None:
    step = floor.come_to("Saw")
    joiner.go("/station/BOOTH/")
    joiner.scan(step.part.code)
    joiner.shows("Saw is not done at this station but at Saw.")
    assert joiner.page.get_by_role("button", name="Start", exact=True).is_disabled()
    assert told(step.part) == []


def test_what_comes_later_cannot_be_begun_first(floor: Halfway, joiner: Tablet) -> None:
    floor.steps["saw"] = step = floor.come_to("Saw")
    later = step.part.steps.get(operation__name="Machine")
    joiner.go(floor.address("saw"))
    # The same form, bent to another step as a stale or a clever page would.
    form = joiner.page.locator("form:has(> [name=wish][value=START])")
    form.locator("[name=step]").evaluate(f"(one) => {{ one.value = {later.pk} }}")
    joiner.press("Start")
    joiner.shows("Machine comes later; still open before it:", "floor.comes_later")
    assert (told(step.part), state(later)) == ([], "WAITING")
    assert told(step.part, accepted=False) == ["START"]


@pytest.mark.point(5)
@pytest.mark.parametrize("pause", [0, 60, 250])
def test_two_taps_count_once(floor: Halfway, joiner: Tablet, pause: int) -> None:
    floor.steps["saw"] = step = floor.come_to("Saw")
    joiner.go(floor.address("saw"))
    box = joiner.page.get_by_role("button", name="Start", exact=True).bounding_box()
    assert box
    at = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    joiner.page.evaluate(TWICE, [*at, pause])
    joiner.page.get_by_role("button", name="Done", exact=True).wait_for()
    joiner.settle()
    # Done stands where Start stood, and must not have been met by the second tap.
    joiner.shows("Done")
    assert (told(step.part), state(step)) == (["START"], "RUNNING")


@pytest.mark.point(5)
def test_a_form_that_is_sent_twice_counts_once(floor: Halfway, joiner: Tablet) -> None:
    floor.steps["saw"] = step = floor.come_to("Saw")
    joiner.go(floor.address("saw"))
    joiner.page.evaluate(
        """() => { const form = document.querySelector(".press-next").form;
        form.requestSubmit(); form.requestSubmit(); }"""
    )
    joiner.page.get_by_role("button", name="Done", exact=True).wait_for()
    joiner.settle()
    assert told(step.part) == ["START"]


def test_a_message_that_comes_again_gets_the_first_answer(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["saw"] = step = floor.come_to("Saw")
    joiner.go(floor.address("saw"))
    sent: dict[str, str] = joiner.page.eval_on_selector(
        ".press-next", "(one) => Object.fromEntries(new FormData(one.form))"
    )
    url = f"{joiner.home}/station/SAW/wish/"
    answers = [joiner.page.request.post(url, form=sent) for _ in range(3)]
    assert [answer.status for answer in answers] == [200, 200, 200]
    assert all("The work is begun." in answer.text() for answer in answers)
    assert told(step.part) == ["START"]


@pytest.mark.parametrize("scripts", [True, False])
def test_going_back_shows_what_is_so_now_and_nothing_is_done_twice(
    floor: Halfway, tablet: Callable[..., Tablet], *, scripts: bool
) -> None:
    one: Tablet = tablet(scripts=scripts)
    one.enter(floor.shop.cast.joiner)
    step = floor.come_to("Saw")
    one.go("/station/SAW/")
    one.page.fill("#scan", step.part.code)
    one.page.keyboard.press("Enter")
    one.settle()
    one.press("Start")
    one.page.go_back()
    if scripts:
        # A press takes the place of what it was pressed on: back is the list.
        one.page.get_by_text("In work here").wait_for()
        one.shows(step.part.instrument.serial)
        one.page.go_forward()
    for _ in range(2):
        one.page.get_by_role("button", name="Done", exact=True).wait_for()
        one.shows(step.part.instrument.serial)
        assert one.page.get_by_role("button", name="Start", exact=True).count() == 0
        one.press("List")
        one.page.go_back()
    one.press("Done")
    assert (told(step.part), state(step)) == (["START", "FINISH"], "DONE")


@pytest.mark.point(12)
def test_a_screen_out_of_date_is_told_who_was_first(
    floor: Halfway, joiner: Tablet, tablet: Callable[..., Tablet]
) -> None:
    floor.steps["saw"] = step = floor.come_to("Saw")
    other: Tablet = tablet()
    other.enter(floor.shop.cast.finisher)
    for one in (joiner, other):
        one.go(floor.address("saw"))
    joiner.press("Start")
    other.press("Start")
    other.shows("Saw is in work and cannot be changed that way.", "Done")
    joiner.press("Done")
    other.press("Done")
    other.shows("Saw was done on", "by Joiner Cast.")
    assert told(step.part) == ["START", "FINISH"]
    assert told(step.part, accepted=False) == ["START", "FINISH"]


# --- Values


@pytest.mark.point(12, 18)
@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("56x1", "“56x1” cannot be read as a number."),
        ("5б.1", "cannot be read as a number."),
        ("1,234.5", "has more than one mark"),
        ("2.2087", "2.2087 mm is far off; 56.101 mm may have been meant."),
        ("561", "561 mm is far off; 56.1 mm may have been meant."),
        ("2.21 oz", "Pocket width is measured in mm, not in oz."),
        ("", "No value was given yet."),
    ],
)
def test_a_doubtful_value_is_asked_again_and_not_recorded(
    floor: Halfway, joiner: Tablet, typed: str, says: str
) -> None:
    step = pocket(floor, joiner)
    joiner.page.fill("#value", typed)
    joiner.press("Enter")
    joiner.shows(says)
    assert joiner.page.input_value("#value") == typed
    assert told(step.part)[-1] == "START"


@pytest.mark.point(18)
def test_a_comma_is_a_decimal_mark_and_the_large_keys_write(
    floor: Halfway, joiner: Tablet
) -> None:
    step = pocket(floor, joiner)
    for key in "56.19":
        joiner.page.locator(f".keys [data-shop-key='{key}']").click()
    joiner.page.locator("[data-shop-key=back]").click()
    assert joiner.page.input_value("#value") == "56.1"
    assert joiner.page.locator("[data-shop-verdict]").inner_text() == "inside"
    joiner.page.fill("#value", "56,12")
    joiner.press("Enter")
    joiner.shows("Pocket width: 56.12 mm, inside.")
    row = Event.objects.get(step=step, kind="READ")
    assert str(row.readings.get().value) == "56.1200"
