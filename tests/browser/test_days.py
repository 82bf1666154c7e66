"""Can a whole day be worked with the scanner and cards alone, and by touch alone?

What the hand scans is what two decoders read from the printed cards. No key is pressed
but by the scanner, and on the other tablet none at all.
"""

from collections import Counter
from collections.abc import Callable
from decimal import Decimal
from functools import partial

import pytest
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Locator, Route

from tests import make
from tests.browser.conftest import WAIT_MS, Tablet
from tests.browser.halfway import Halfway
from tests.browser.sheets import printed, read_by_both
from tests.browser.test_bench_habits import BURST
from travelers.floor.models import Event, Hold, Reading, Stay
from travelers.floor.queries import audit
from travelers.formulas import codes
from travelers.formulas.cards import Command, command_of
from travelers.kit.drawing.zones import ZONES
from travelers.orders.models import Part, Step
from travelers.quality.models import Defect
from travelers.routes.models import DefectKind
from travelers.shop.models import Station

PARTS = 10
# Scans that wait for the answer before them.
WAITING = "sessionStorage.getItem('shop-scans')"


def burst(tablet: Tablet, *texts: str) -> None:
    """Scan as the page hears it; see BURST."""
    ask(tablet, BURST, list(texts))
    for _ in range(WAIT_MS // 20):
        tablet.settle()
        if ask(tablet, WAITING) in (None, "[]"):
            break
    tablet.settle()


def ask(tablet: Tablet, script: str, *given: object) -> object:
    """Ask the page, which may just be making way for another."""
    try:
        return tablet.page.evaluate(script, *given)
    except PlaywrightError as fault:
        if "context was destroyed" not in str(fault):
            raise
        return "gone"


class Hand:
    """A scanner and the cards that hang at a station, as they were printed."""

    def __init__(self, tablet: Tablet, printed: set[str]) -> None:
        self.tablet = tablet
        by_code = {codes.parse(text): text for text in printed}
        self.cards = {
            command: text
            for code, text in by_code.items()
            if (command := command_of(code))
        }
        self.kinds = {code: text for code, text in by_code.items() if code[0] == "D"}

    def part(self, part: Part) -> None:
        burst(self.tablet, part.code)

    def station(self, code: str) -> None:
        burst(self.tablet, Station.objects.get(code=code).tag)
        # Keys that come while one page makes way for another are lost.
        self.tablet.page.wait_for_url(f"**/station/{code}/")
        self.tablet.settle()

    def say(self, *commands: Command) -> None:
        for command in commands:
            burst(self.tablet, self.cards[command])

    def kind(self, name: str) -> None:
        burst(self.tablet, self.kinds[DefectKind.objects.get(code=name).card])

    def type(self, value: str) -> None:
        self.say(*(KEYS.get(key) or Command(f"DIGIT_{key}") for key in value))
        self.say(Command.OK)


KEYS = {".": Command.POINT, "-": Command.MINUS}


def printed_cards(floor: Halfway, tablet: Callable[..., Tablet]) -> set[str]:
    """Print the cards of the cutter, which the room's are too, and read the paper."""
    lead = tablet()
    lead.enter(floor.shop.cast.lead)
    return read_by_both(printed(lead.page, f"{lead.home}/paper/cards/CUTTER.pdf"))


def wait_in_line(floor: Halfway, operation: str, count: int) -> list[Part]:
    return [floor.come_to(operation).part for _ in range(count)]


def agree() -> None:
    for pk in audit.instrument_ids():
        found = audit.check_instrument(instrument_id=pk).differences
        assert [str(one) for one in found] == []
    assert list(audit.check_loads()) == []


def told(part: Part) -> list[str]:
    rows = Event.objects.filter(part=part, accepted=True).order_by("seq")
    return [kind for kind, name in rows.values_list("kind", "step__operation__name")]


def test_a_day_with_the_scanner_and_cards_alone(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    texts = printed_cards(floor, tablet)
    wet = wait_in_line(floor, "Dry", 3)
    parts = wait_in_line(floor, "Machine", PARTS)
    held = floor.come_to("Machine").part
    joiner = tablet()
    joiner.enter(floor.shop.cast.joiner)
    joiner.go("/station/SAW/")
    hand = Hand(joiner, texts)
    hand.station("CUTTER")
    _cut_ten(hand, parts)
    _hold_one(hand, held)
    _dry_three(floor, hand, wet)
    assert joiner.page.evaluate(WAITING) in (None, "[]")
    agree()


def _cut_ten(hand: Hand, parts: list[Part]) -> None:
    """Seven are good at once; then one too wide, two doubted, and a defect."""
    *good, wide, sure, slipped = parts
    for part in good:
        hand.part(part)
        hand.say(Command.START, Command.NEXT)
        hand.type("56.1")
        hand.tablet.shows("Pocket width: 56.1 mm, inside.")
        hand.say(Command.DONE)
        hand.tablet.shows("This step is done.")
    hand.part(wide)
    hand.say(Command.START, Command.NEXT)
    hand.type("56.31")
    hand.tablet.shows("outside", "Measure again")
    hand.type("56.12")
    hand.say(Command.DONE)
    hand.part(sure)
    hand.say(Command.START, Command.NEXT)
    hand.type("561.1")
    hand.tablet.shows("is far off", "card: yes")
    hand.tablet.picture("card-doubt")
    hand.say(Command.YES)
    hand.tablet.shows("Pocket width: 561.1 mm, outside.")
    hand.type("56.13")
    hand.say(Command.DONE)
    hand.part(slipped)
    hand.say(Command.START, Command.NEXT)
    hand.type("561")
    hand.say(Command.NO)
    hand.type("56.14")
    _find_defect(hand, slipped)
    hand.say(Command.DONE)
    values = Reading.objects.filter(
        characteristic__code="POCKET", event__part__in=parts
    )
    assert Counter(values.values_list("value", flat=True)) == Counter(
        {
            Decimal("56.1"): 7,
            Decimal("56.31"): 1,
            Decimal("56.12"): 1,
            Decimal("561.1"): 1,
            Decimal("56.13"): 1,
            Decimal("56.14"): 1,
        }
    )
    done = Step.objects.filter(part__in=parts, operation__name="Machine", state="DONE")
    assert done.count() == PARTS


def _find_defect(hand: Hand, part: Part) -> None:
    hand.say(Command.DEFECT)
    hand.tablet.picture("card-defect-place")
    hand.say(Command.DIGIT_4)
    hand.kind("TEAR_OUT")
    hand.say(Command.MINOR)
    hand.tablet.picture("card-defect-kind")
    hand.say(Command.YES)
    hand.tablet.shows("The defect is on record.")
    defect = Defect.objects.get(part=part)
    assert (float(defect.x), float(defect.y)) == ZONES["body"][3]
    assert (defect.kind.code, defect.severity) == ("TEAR_OUT", "MINOR")


def _hold_one(hand: Hand, part: Part) -> None:
    hand.part(part)
    hand.say(Command.HOLD, Command.REASON_WOOD)
    hand.tablet.picture("card-hold")
    hand.say(Command.YES)
    hand.tablet.shows("The hold is on.")
    hold = Hold.objects.get(part=part)
    assert hold.reason == "Crack, knot or resin in the wood"


def _dry_three(floor: Halfway, hand: Hand, parts: list[Part]) -> None:
    """Scan, scan, scan, confirm; and out again, each with its moisture read."""
    hand.station("ROOM")
    for part in parts:
        hand.part(part)
    hand.tablet.shows("3 parts to go in", "0 after this list")
    hand.say(Command.YES)
    hand.tablet.shows("3 parts lie here now.")
    assert Stay.objects.filter(step__part__in=parts).count() == 3
    floor.later(days=11)
    hand.say(Command.LIST)
    for part in parts:
        hand.part(part)
        hand.say(Command.NEXT)
        hand.type("6.5")
    hand.say(Command.LIST, Command.TAKE_OUT)
    for part in parts:
        hand.part(part)
    hand.say(Command.TAKE_OUT)
    hand.tablet.shows("3 parts are out.")
    hand.tablet.picture("card-list-out")
    assert not Stay.objects.filter(taken_out=None).exists()


def later(tablet: Tablet, span_ms: int, route: Route) -> None:
    # What the page asks in the background would be held over the end of the test.
    if "due.json" not in route.request.url:
        tablet.page.wait_for_timeout(span_ms)
    route.continue_()


@pytest.mark.parametrize("slow_ms", [0, 400])
def test_cards_among_parts_scanned_fast_come_in_their_order(
    floor: Halfway, tablet: Callable[..., Tablet], slow_ms: int
) -> None:
    """Part, start, part, start: each card means the part before it."""
    parts = [floor.come_to("Saw").part for _ in range(4)]
    joiner = tablet()
    joiner.enter(floor.shop.cast.joiner)
    joiner.go("/station/SAW/")
    if slow_ms:
        joiner.page.route("**/station/SAW/**", partial(later, joiner, slow_ms))
    start, done = "HTTPS://ANY.LAN/T/C000010E", "c000-020a"
    said = [text for part in parts for text in (part.code, start)]
    said += [parts[-1].code, done]
    joiner.page.evaluate(BURST, said)
    for _ in range(200):
        joiner.settle()
        if told(parts[-1])[-1:] == ["FINISH"]:
            break
        joiner.page.wait_for_timeout(100)
    assert [told(part) for part in parts] == [["START"]] * 3 + [["START", "FINISH"]]
    refused = Event.objects.filter(part__in=parts, accepted=False)
    assert not refused.exists()


def test_a_card_that_does_not_fit_says_what_goes(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    part = floor.come_to("Saw").part
    joiner = tablet()
    joiner.enter(floor.shop.cast.joiner)
    joiner.go("/station/SAW/")
    burst(joiner, "C000010E")
    joiner.shows("No part is on the screen for the card “start”.")
    burst(joiner, part.code)
    burst(joiner, "C000020A")
    joiner.shows("The card “done” does nothing here now.", "start, defect, hold, list")
    joiner.picture("card-not-now")
    assert told(part) == []
    burst(joiner, "C000010E")
    burst(joiner, "D0000000")
    joiner.shows("One character of D0000000 is not right.")
    assert told(part) == ["START"]


def test_a_card_waits_for_what_a_finger_pressed_before_it(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    part = floor.come_to("Saw").part
    joiner = tablet()
    joiner.enter(floor.shop.cast.joiner)
    joiner.go(f"/station/SAW/?code={part.code}")
    joiner.page.route("**/wish/**", partial(later, joiner, 500), times=1)
    joiner.page.locator(".press-next").click()
    joiner.page.evaluate(BURST, ["C000020A"])
    for _ in range(100):
        joiner.settle()
        if told(part) == ["START", "FINISH"]:
            break
    assert told(part) == ["START", "FINISH"]


# --- By touch alone


class Fingers:
    """A tablet that is only touched; each touch is counted."""

    def __init__(self, tablet: Tablet) -> None:
        self.tablet, self.touches = tablet, 0

    def tap(self, what: Locator | str) -> None:
        self.touches += 1
        self.tablet.touch(what)

    def press(self, words: str) -> None:
        page = self.tablet.page
        button = page.get_by_role("button", name=words, exact=True)
        link = page.get_by_role("link", name=words, exact=True)
        self.tap(button.or_(link).or_(page.get_by_text(words, exact=True)))

    def row(self, part: Part) -> None:
        self.tap(f"#scene a[href*='code={part.code}']")

    def type(self, value: str) -> None:
        for key in value:
            self.tap(f"[data-shop-key='{key}']")
        self.tap("button.keys-enter")


@pytest.fixture
def fingers(floor: Halfway, tablet: Callable[..., Tablet]) -> Fingers:
    one = tablet(fingers=True)
    one.enter(floor.shop.cast.joiner)
    one.page.keyboard.press = no_keys  # type: ignore[method-assign]
    one.page.keyboard.type = no_keys  # type: ignore[method-assign]
    return Fingers(one)


def no_keys(*_: object, **__: object) -> None:
    raise AssertionError("a key was pressed where only fingers work")


@pytest.mark.proof("D7")
def test_a_day_by_touch_alone(floor: Halfway, fingers: Fingers) -> None:
    wet = wait_in_line(floor, "Dry", 3)
    parts = wait_in_line(floor, "Machine", 4)
    floor.hurry(*wet, *parts)
    tablet = fingers.tablet
    tablet.go("/station/CUTTER/")
    for number, part in enumerate(parts):
        fingers.row(part)
        fingers.press("Start")
        fingers.press("Check: Pocket width")
        fingers.type("561.1" if number == 1 else "56.31" if number == 2 else "56.1")
        if number == 1:
            fingers.tap("[data-shop-command=YES]")
        if number in (1, 2):
            fingers.type("56.12")
        if number == 3:
            _touch_defect(fingers, part)
        fingers.press("Done")
        fingers.press("List")
    held = floor.come_to("Machine").part
    floor.hurry(held)
    tablet.go("/station/CUTTER/")
    fingers.row(held)
    fingers.tap("details.hold summary")
    fingers.press("The lead shall look at it")
    fingers.tap("details.hold button.press")
    assert Hold.objects.get(part=held).reason == "The lead shall look at it"
    _touch_lists(floor, fingers, wet)
    done = Step.objects.filter(part__in=parts, operation__name="Machine", state="DONE")
    assert done.count() == 4
    agree()


def _touch_defect(fingers: Fingers, part: Part) -> None:
    before = fingers.touches
    fingers.press("Defect")
    fingers.tap("a[data-shop-command=DIGIT_2]")
    fingers.press("tear-out")
    fingers.press("Record")
    assert fingers.touches - before <= 6
    assert Defect.objects.get(part=part).kind.code == "TEAR_OUT"


def _touch_lists(floor: Halfway, fingers: Fingers, parts: list[Part]) -> None:
    tablet = fingers.tablet
    tablet.go("/station/ROOM/")
    fingers.press("Load several")
    tablet.picture("touch-list")
    for part in parts:
        fingers.row(part)
    fingers.press("Load 3")
    tablet.shows("3 parts lie here now.")
    floor.later(days=11)
    fingers.press("List")
    for part in parts:
        fingers.row(part)
        fingers.press("Check: Moisture")
        fingers.type("6.5")
        fingers.press("List")
    fingers.press("Take out several")
    for part in parts:
        fingers.row(part)
    fingers.press("Take out 3")
    tablet.shows("3 parts are out.")
    assert not Stay.objects.filter(taken_out=None).exists()


# Of each kind: an operation without checks, its branch, the touches after the scan.
PLAIN = {
    "WORK": ("Saw", "BODY", ("Start", "Done")),
    "HOLD": ("Cure", "BODY", ("Load",)),
    "INSPECT": ("Test play", "ASSEMBLY", ("Start", "Done")),
    "JOIN": ("Neck joint", "ASSEMBLY", ("Start", "Done")),
}


MOST_TOUCHES = 2


@pytest.mark.proof("D7")
@pytest.mark.parametrize("kind", ["WORK", "HOLD", "INSPECT"])
def test_without_a_scanner_it_takes_no_more_than_twice_the_touches(
    floor: Halfway, tablet: Callable[..., Tablet], kind: str
) -> None:
    """A touch on the list stands for the scan; only a join's mates must be scanned."""
    operation, branch, presses = PLAIN[kind]
    instrument = floor.instrument()
    if branch == "ASSEMBLY":
        for other in ("BODY", "NECK", "ELECTRONICS"):
            floor.shop.work(floor.shop.part(instrument, other))
    step = floor.come_to(operation, branch, of=instrument)
    floor.hurry(step.part)
    one = tablet(fingers=True)
    one.enter(floor.shop.cast.joiner)
    one.go(f"/station/{step.station.code if step.station else ''}/")
    hand = Fingers(one)
    hand.row(step.part)
    for words in presses:
        hand.press(words)
    assert hand.touches <= 2 * MOST_TOUCHES
    step.refresh_from_db()
    assert step.state == ("DWELLING" if kind == "HOLD" else "DONE")


def test_each_turn_of_a_repeated_operation_takes_two_touches_at_most(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    first = floor.come_to("Lacquer")
    one = tablet(fingers=True)
    one.enter(floor.shop.cast.finisher)
    for turn in range(1, first.operation.times + 1):
        one.go("/station/BOOTH/")
        burst(one, first.part.code)
        one.shows(f"Lacquer {turn}/3")
        hand = Fingers(one)
        hand.press("Start")
        hand.press("Done")
        assert hand.touches <= MOST_TOUCHES
        floor.later(hours=5)
    states = first.part.steps.filter(operation=first.operation).values_list("state")
    assert [*states] == [("DONE",)] * 3


@pytest.mark.parametrize("kind", PLAIN)
def test_a_plain_completion_takes_two_touches_at_most(
    floor: Halfway, tablet: Callable[..., Tablet], kind: str
) -> None:
    """After the scan; the mates of a join are scans themselves."""
    operation, branch, presses = PLAIN[kind]
    instrument = floor.instrument()
    if branch == "ASSEMBLY":
        for other in ("BODY", "NECK", "ELECTRONICS"):
            floor.shop.work(floor.shop.part(instrument, other))
    step = floor.come_to(operation, branch, of=instrument)
    assert step.operation.kind == kind
    one = tablet(fingers=True)
    one.enter(floor.shop.cast.joiner)
    one.go(f"/station/{step.station.code if step.station else ''}/")
    burst(one, step.part.code)
    hand = Fingers(one)
    for words in presses:
        if words == "Done" and kind == "JOIN":
            for mate in make.Part.objects.filter(
                instrument=instrument, branch__in=["BODY", "NECK"]
            ):
                burst(one, mate.code)
        hand.press(words)
    assert hand.touches <= MOST_TOUCHES
    step.refresh_from_db()
    assert step.state == ("DWELLING" if kind == "HOLD" else "DONE")
    if kind == "HOLD":
        floor.later(days=21)
        one.go("/station/RACK/")
        burst(one, step.part.code)
        hand = Fingers(one)
        hand.press("Take out")
        assert hand.touches == 1
        step.refresh_from_db()
        assert step.state == "DONE"
