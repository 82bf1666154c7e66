"""Can every page be read, reached and touched, by day and by night?

Each page is opened in two sizes. No page may be wider than the screen, and axe-core
finds nothing serious on it, light or dark. On a station's screen every control is large
enough for gloves, every text for an arm's length, and what ends the work is in sight.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import pytest
from pytest_django.live_server_helper import LiveServer

from tests.browser import halfway, measures
from tests.browser.conftest import SIZES, Shelf, Tablet, lent
from tests.browser.halfway import Halfway
from travelers.floor.models import Batch, Event
from travelers.routes.models import WoodNeed
from travelers.shop.models import Stage

# The same tablets held upright.
UPRIGHT = ("800x1280", "768x1024")
# 1280 by 800 at 200 %, and WCAG 1.4.10 reflow, where only tables may be wider.
NARROW = ("640x400", "320x640")
Then = Callable[[Tablet, Halfway], None]


def nothing(tablet: Tablet, floor: Halfway) -> None:
    """Show the page as it was opened."""


@dataclass(frozen=True)
class Screen:
    """A station's screen: its address, what is done there, what must be in reach.

    Upright, only the plain way must fit the screen; what is asked besides may push it.
    """

    name: str
    address: Callable[[Halfway], str]
    then: Then = nothing
    by: str = "joiner"
    reach: str = ""
    is_plain: bool = True
    operation: bool = True


def enter_value(text: str, gauge: str = "caliper") -> Then:
    def enter(tablet: Tablet, floor: Halfway) -> None:
        tablet.page.select_option("select[name=gauge]", label=gauge)
        tablet.page.fill("input[name=value]", text)
        tablet.press("Enter")

    return enter


def scan_wrong_mate(tablet: Tablet, floor: Halfway) -> None:
    tablet.scan(floor.part("next").code)


def scan_two(tablet: Tablet, floor: Halfway) -> None:
    """Scan one that may go in and one that has to be elsewhere."""
    for name in ("wet", "next"):
        tablet.scan(floor.part(name).code)


def open_hold(tablet: Tablet, floor: Halfway) -> None:
    tablet.page.locator("details.hold summary").click()


def open_settings(tablet: Tablet, floor: Halfway) -> None:
    tablet.page.get_by_text("Flash and sound").click()


def check(floor: Halfway, name: str, place: int = 1) -> str:
    return floor.address(name, check=floor.check_of(name), place=place)


def report(floor: Halfway, more: str = "") -> str:
    step = floor.steps["pocket"]
    return f"/quality/report/?step={step.pk}&station=CUTTER{more}"


LIST = "/station/ROOM/several/"
KEYS = "[data-shop-keypad], [data-shop-key], .keys-enter"
STATION_SCREENS = (
    Screen("idle", lambda f: "/station/SAW/", operation=False, reach=".queue .next a"),
    Screen("idle-holding", lambda f: "/station/ROOM/", operation=False),
    Screen("idle-empty", lambda f: "/station/RACK/", operation=False),
    Screen("settings", lambda f: "/station/RACK/", open_settings, operation=False),
    Screen("list-in", lambda f: f"{LIST}?wish=LOAD", scan_two, operation=False),
    Screen("list-out", lambda f: f"{LIST}?wish=TAKE_OUT", operation=False),
    Screen("scanned", lambda f: f.address("next"), reach=".press-next"),
    Screen("running", lambda f: f.address("running"), reach=".press-next"),
    Screen("hold", lambda f: f.address("running"), open_hold),
    Screen("held", lambda f: f.address("held")),
    Screen("dwelling", lambda f: f.address("lies")),
    Screen("may-come-out", lambda f: f.address("out"), reach=".press-next"),
    Screen("elsewhere", lambda f: f.address("next", at="BOOTH")),
    Screen("elsewhere-lead", lambda f: f.address("next", at="BOOTH"), by="lead"),
    Screen("join", lambda f: f.address("joint")),
    Screen("join-wood", lambda f: f.address("glue")),
    Screen("refused", lambda f: f.address("joint"), scan_wrong_mate),
    Screen("batch-over", lambda f: f.address("coat"), is_plain=False),
    Screen("serials", lambda f: f.address("solder")),
    Screen("cutters", lambda f: "/station/SAW/cutters/?head=top", operation=False),
    Screen("pocket", lambda f: f.address("pocket"), reach=".press-next"),
    Screen("keypad", lambda f: check(f, "pocket"), reach=KEYS),
    Screen("keypad-places", lambda f: check(f, "frets", 2), reach=KEYS),
    Screen(
        "asked-again",
        lambda f: check(f, "pocket"),
        enter_value("561.1"),
        reach=f"{KEYS}, .unclear-choice button",
        is_plain=False,
    ),
    Screen(
        "no-number",
        lambda f: check(f, "pocket"),
        enter_value("56x1"),
        reach=KEYS,
        is_plain=False,
    ),
    Screen(
        "no-gauge",
        lambda f: check(f, "pocket"),
        enter_value("56.1", "choose"),
        reach=KEYS,
        is_plain=False,
    ),
    Screen(
        "outside",
        lambda f: check(f, "outside"),
        reach=f"{KEYS}, .outside .button",
        is_plain=False,
    ),
    Screen("outside-lead", lambda f: f.address("outside"), by="lead"),
    Screen("judged", lambda f: check(f, "judged"), reach=".press-good, .press-bad"),
    Screen("finished", lambda f: f"/station/SAW/?code={f.part('finished').code}"),
    Screen("unknown", lambda f: "/station/SAW/?code=P7777770", operation=False),
    Screen(
        "misread",
        lambda f: f"/station/SAW/?code={misread(f.part('next').code)}",
        operation=False,
        reach=".unread-list a",
    ),
    Screen("help", lambda f: "/station/SAW/help/", operation=False),
    Screen("help-part", lambda f: help_of(f, "running"), operation=False),
    Screen("defect-touch", report, reach="input[type=image]"),
    Screen(
        "defect-kind",
        lambda f: report(f, "&x=0.6&y=0.4"),
        reach=".choices label, .press-next",
    ),
)


def help_of(floor: Halfway, name: str) -> str:
    step = floor.steps[name]
    return f"/station/SAW/help/?code={step.part.code}&step={step.pk}"


def misread(code: str) -> str:
    """Give a code with its first digit read wrong."""
    return f"{code[0]}{'8' if code[1] == '0' else '0'}{code[2:]}"


@dataclass(frozen=True)
class Page:
    """A page at a desk, and what it says when it is the right one."""

    name: str
    by: str
    address: Callable[[Halfway], str]
    says: str


DESK_PAGES = (
    Page("sign-in", "", lambda f: "/sign-in/", "Password"),
    Page("home", "lead", lambda f: "/", "Waits for a decision"),
    Page("home-planner", "planner", lambda f: "/", "Due next"),
    Page("stations", "joiner", lambda f: "/stations/", "Cutter"),
    Page("board", "planner", lambda f: "/board/", "parts on the floor"),
    Page("cell", "planner", lambda f: "/board/LUMBER/BODY/", "the grain runs out"),
    Page("flow", "planner", lambda f: "/flow/?days=365", "Do these figures agree?"),
    Page("flow-neck", "lead", lambda f: "/flow/?days=28&of=NECK", "joined, finished"),
    Page("flow-open", "planner", lambda f: "/flow/open/", "the oldest first"),
    Page("flow-closed", "qa", lambda f: "/flow/closed/?days=365", "left the floor"),
    Page("flow-waits", "planner", lambda f: "/flow/waits/GLUING/", "Waiting now"),
    Page("flow-passed", "qa", lambda f: "/flow/passed/MACHINING/", "With a defect"),
    Page("instrument", "lead", lambda f: instrument(f, "outside"), "tear-out"),
    Page("instrument-held", "lead", lambda f: instrument(f, "held"), "Lift it"),
    Page("instrument-done", "qa", lambda f: instrument(f, "finished"), "Finished"),
    Page("instrument-swapped", "qa", lambda f: instrument(f, "lies"), "came from"),
    Page("swap", "qa", lambda f: swap(f, "after", "NECK", "out"), "Swap them"),
    Page("swap-no", "qa", lambda f: swap(f, "after", "BODY", "lies"), "Take it out"),
    Page("put-first", "planner", lambda f: "/first/", "every list stands by its rule"),
    Page("digest", "planner", lambda f: "/digest/", "Late, and why"),
    Page("digest-qa", "qa", lambda f: "/digest/", "Held longest"),
    Page("find", "qa", lambda f: "/find/?q=W", "scrapped"),
    Page("find-nothing", "planner", lambda f: "/find/?q=P77777", "and no part of one"),
    Page("orders", "planner", lambda f: "/orders/", "To be released"),
    Page("order-new", "planner", lambda f: "/orders/new/", "Number of the order"),
    Page("order", "planner", lambda f: "/orders/W001/", "Print all travelers"),
    Page("order-open", "planner", lambda f: "/orders/W900/", "Release"),
    Page("deliveries", "planner", lambda f: "/lumber/", "Marsh Timber"),
    Page("delivery", "planner", lambda f: "/lumber/D001/", "Print labels"),
    Page("delivery-new", "planner", lambda f: "/lumber/new/", "Trade papers"),
    Page("plank", "planner", lambda f: "/lumber/plank/D001-01/", "Plank"),
    Page("plank-plan", "planner", lambda f: plan_of_rest(f), "Saw it so"),
    Page("materials", "lead", lambda f: "/materials/", "CL-7"),
    Page("batch", "lead", lambda f: batch(f), "Print its label"),
    Page("rooms", "planner", lambda f: "/rooms/", "no wood here dries below"),
    Page("room", "lead", lambda f: "/rooms/ROOM/", "Read the air"),
    Page("models", "engineer", lambda f: "/routes/", "Tide Green"),
    Page("revision", "engineer", lambda f: "/routes/WREN/A/", "What takes longest"),
    Page("draft", "engineer", lambda f: "/routes/WREN/B/", "draft"),
    Page("gauges", "qa", lambda f: "/quality/gauges/", "overdue"),
    Page("gauge", "qa", lambda f: gauge(f), "This gauge was found bad"),
    Page("from-paper", "lead", lambda f: from_paper(f, "outside"), "Put it on record"),
    Page("from-paper-done", "lead", lambda f: from_paper(f, "finished"), "has left"),
    Page("undo", "lead", lambda f: undo_of(f), "Take it back"),
    Page("decisions", "lead", lambda f: "/decisions/", "Booth"),
    Page("late", "lead", lambda f: "/late/", "Scan the part again"),
    Page("people", "lead", lambda f: "/people/", "Joiner Cast"),
    Page("person", "lead", lambda f: f"/people/{joiner(f)}/", "Joiner Cast"),
    Page("skills", "lead", lambda f: "/qualifications/", "stands still"),
    Page("skill", "lead", lambda f: "/qualifications/FINISHING/JOIN/", "Joiner Cast"),
    Page("tablets", "lead", lambda f: "/tablets/", "Saw"),
    Page("tablet-enrol", "", lambda f: "/tablet/", "code"),
    Page("defects", "qa", lambda f: "/quality/defects/", "tear-out"),
    Page("defect", "qa", lambda f: defect(f), "Decide"),
    Page("not-yours", "outsider", lambda f: "/orders/", "not part of your work"),
    Page("not-there", "planner", lambda f: "/orders/NOSUCH/", "Nothing here"),
)


def plan_of_rest(floor: Halfway) -> str:
    need = WoodNeed.objects.earliest("id")
    sizes = "length_mm=1800&width_mm=200&kerf_mm=3&edge_trim_mm=5&end_trim_mm=25"
    return f"/lumber/plank/D001-01/plan/?{sizes}&n-{need.pk}=1"


def defect(floor: Halfway) -> str:
    return f"/quality/defects/{halfway.defect().pk}/"


def undo_of(floor: Halfway) -> str:
    """Give the page that takes back what much was built on."""
    step = floor.steps["outside"]
    first = Event.objects.filter(part=step.part, kind="START", accepted=True).first()
    assert first
    return f"/instrument/{step.part.instrument.serial}/undo/{first.event_id}/"


def joiner(floor: Halfway) -> str:
    return floor.shop.cast.joiner.username


def from_paper(floor: Halfway, name: str) -> str:
    return f"/instrument/{floor.part(name).instrument.serial}/paper/"


def instrument(floor: Halfway, name: str) -> str:
    part = floor.part(name)
    return f"/instrument/{part.instrument.serial}/?part={part.code}"


def swap(floor: Halfway, name: str, branch: str, other: str) -> str:
    one, another = (floor.part(each).instrument for each in (name, other))
    code = floor.shop.part(one, branch).code
    return f"/instrument/{one.serial}/swap/?part={code}&with={another.serial}"


def gauge(floor: Halfway) -> str:
    return f"/quality/gauges/{floor.shop.cast.gauges['caliper'].tag}/"


def batch(floor: Halfway) -> str:
    return f"/materials/batch/{Batch.objects.get(number='CL-7').code}/"


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    with halfway.working(uses=True) as made:
        halfway.fill(made)
        halfway.use_up(made)
        yield made


@pytest.fixture(scope="module")
def seats(
    floor: Halfway, shelf: Shelf, server: LiveServer
) -> Iterator[Callable[[str], Tablet]]:
    """Give everybody a tablet that stays theirs, for pages that are only looked at."""
    taken: dict[str, Tablet] = {}
    with lent(shelf, server) as tablet:

        def of(name: str) -> Tablet:
            if name not in taken:
                taken[name] = tablet()
                if name:
                    taken[name].enter(floor.shop.cast.people[name])
            assert taken[name].faults == []
            taken[name].page.emulate_media(color_scheme="light")
            return taken[name]

        yield of


@pytest.mark.point(1, 2, 3, 4, 7, 8, 10, 14, 15)
@pytest.mark.parametrize("screen", STATION_SCREENS, ids=lambda one: one.name)
def test_a_station_screen_fits_gloves_and_an_arms_length(
    screen: Screen,
    floor: Halfway,
    tablet: Callable[..., Tablet],
    seats: Callable[[str], Tablet],
) -> None:
    if screen.then is nothing:
        one = seats(screen.by)
    else:
        one = tablet()
        one.enter(floor.shop.cast.people[screen.by])
    one.go(screen.address(floor))
    screen.then(one, floor)
    found: list[str] = []
    for size in SIZES:
        one.picture(f"station-{screen.name}", size=size)
        found += [f"{size}: {fault}" for fault in _station_faults(one, screen)]
    key = measures.UPRIGHT_KEY
    for size in UPRIGHT:
        one.resize(size)
        upright = screen if screen.is_plain else replace(screen, reach="")
        found += [
            f"{size}: {fault}" for fault in _station_faults(one, upright, least=key)
        ]
    found += _reflow(one)
    one.resize(SIZES[0])
    found += measures.lost_by_spacing(one.page) + measures.thin(one.page)
    found += _axe_by_day_and_night(one, enhanced_contrast=True)
    assert [*found, *one.faults] == []


def _station_faults(
    one: Tablet, screen: Screen, *, least: float = measures.MAIN
) -> list[str]:
    found = measures.overflow(one.page)
    found += measures.touch(one.page)
    found += measures.small_main(one.page, least=least)
    found += measures.grave_near(one.page)
    found += measures.small_text(one.page)
    if screen.operation:
        found += measures.small_operation(one.page)
    for selector in filter(None, screen.reach.split(", ")):
        found += measures.out_of_reach(one.page, selector)
    return found


@pytest.mark.point(1, 8, 10, 14)
@pytest.mark.parametrize("page", DESK_PAGES, ids=lambda one: one.name)
def test_a_desk_page_can_be_read(
    page: Page, floor: Halfway, seats: Callable[[str], Tablet]
) -> None:
    one = seats(page.by)
    one.go(page.address(floor))
    one.shows(page.says)
    found: list[str] = []
    for size in SIZES:
        one.picture(page.name, size=size)
        found += [f"{size}: {fault}" for fault in measures.overflow(one.page)]
    found += _reflow(one)
    one.resize(SIZES[0])
    found += measures.lost_by_spacing(one.page)
    found += _axe_by_day_and_night(one, enhanced_contrast=False)
    assert [*found, *one.faults] == []


def _reflow(one: Tablet) -> list[str]:
    """Say what is pushed off the side at 200 % zoom, and at a telephone's width."""
    found = []
    for size in NARROW:
        one.resize(size)
        found += [f"{size}: {fault}" for fault in measures.overflow(one.page)]
    return found


def _axe_by_day_and_night(one: Tablet, *, enhanced_contrast: bool) -> list[str]:
    found = []
    for light in ("light", "dark"):
        one.page.emulate_media(color_scheme=light)  # type: ignore[arg-type]
        faults = one.axe(
            enhanced_contrast=enhanced_contrast, colours_only=light == "dark"
        )
        faults += measures.faint_edges(one.page)
        found += [f"{light}: {fault}" for fault in faults]
    return found


def test_one_key_goes_to_the_field_that_finds_everything(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet()
    one.enter(floor.shop.cast.people["planner"])
    page, serial = one.page, floor.part("held").instrument.serial
    one.go("/orders/new/")
    page.locator("main input[type=text]").first.press("/")
    assert page.evaluate("document.activeElement.dataset.shopFind") is None
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("/")
    ring = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(ring) == "solid"
    page.keyboard.type(serial)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/instrument/{serial}/")
    one.go("/find/")
    page.locator("[data-shop-find-key]").uncheck()
    one.go("/orders/")
    page.keyboard.press("/")
    assert page.evaluate("document.activeElement.tagName") == "BODY"


# A screen of 40 inches is 1,920 px and 886 mm wide; capitals are 0.67 of the letters'
# size. 14 mm of them are read from 3 m (ISO 9241-303, 16 minutes of arc).
WALL, WALL_MM, CAPITALS, READ_MM = "1920x1080", 886, 0.67, 14


@pytest.mark.point(7)
@pytest.mark.parametrize("size", [WALL, "1280x720"])
def test_the_floor_on_the_wall_is_read_from_three_metres(
    size: str, floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    more = Stage.objects.bulk_create(
        Stage(code=f"MORE_{n}", name="Polishing", position=6 + n) for n in range(1, 6)
    )
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    wide = int(size.partition("x")[0])
    try:
        one.go("/board/wall/")
        one.picture("wall", size=size)
        least = READ_MM / CAPITALS / WALL_MM * wide
        found = measures.small_text(one.page, least=max(least, 64 * wide / 1920))
        found += measures.overflow(one.page)
        found += measures.out_of_reach(one.page, "tbody tr:last-child th")
        found += measures.out_of_reach(one.page, ".wall-words > :last-child")
        found += _axe_by_day_and_night(one, enhanced_contrast=True)
    finally:
        for stage in more:
            stage.delete()
    assert not found, "\n".join(found)
    assert one.page.locator("tbody tr").count() == 11
    one.press("The floor")
    one.shows("The same as a table")


WRONG = """<html lang="en"><title>Wrong</title><body style="font-size: 12px">
<p class="operation" style="font-size: 30px">Saw</p>
<button style="width: 30px; height: 30px; padding: 0">a</button
><button style="width: 60px; height: 60px; padding: 0">b</button>
<p style="color: #777; background: #666">hard to read</p><input>
<button class="far" style="position: absolute; top: 3000px">c</button>
<button class="under" style="width: 90px; height: 90px">d</button>
<button class="faint" style="border: 1px solid #bbb; background: #fff">e</button>
<div style="width: 6em; overflow: hidden; white-space: nowrap">spread wide</div>
<p style="font-weight: 300">thin</p>
<div style="position: absolute; top: 900px"><button class="press press-next"
style="width: 90px; height: 99px">f</button
><button class="button-grave">g</button></div>
<div style="width: 1em; white-space: nowrap; float: left"><i>long</i></div
><i>lies on</i>
<div style="position: fixed; inset: 0">over</div><div style="width: 3000px">.</div>"""


@pytest.mark.point(1, 2, 3, 4, 8, 14)
def test_the_measures_see_what_is_wrong(tablet: Callable[..., Tablet]) -> None:
    # A page of its own under no policy; axe needs scripts that run.
    one: Tablet = tablet()
    page = one.page
    page.set_content(WRONG)
    over, page_wide, *_ = measures.overflow(page)
    assert (over, "page 3" in page_wide) == ("printed over: long | lies on", True)
    said = "\n".join(measures.touch(page))
    assert "too small: 'a' is 30 by 30" in said
    assert "too close: 'a' and 'b' are 0 apart" in said
    assert "small text: 'hard to read' is 12.0 px" in measures.small_text(page)
    assert measures.small_operation(page) == ["the operation is 30.0 px"]
    assert "out of reach" in measures.out_of_reach(page, ".far")[0]
    assert measures.out_of_reach(page, ".under") == ["something lies over .under"]
    assert measures.out_of_reach(page, ".none") == ["not there: .none"]
    assert measures.small_main(page) == ["too small to work with: 'f' is 90 by 99"]
    assert measures.grave_near(page) == ["too near: 'g' is 0 from 'f'"]
    assert measures.faint_edges(page) == ["faint edge: 'e' has 1.9:1"]
    assert "cut off by spacing: spread wide" in measures.lost_by_spacing(page)
    assert measures.thin(page) == ["thin letters: 300"]
    rules = {fault.split(":")[0] for fault in one.axe()}
    assert {"color-contrast", "label"} <= rules
