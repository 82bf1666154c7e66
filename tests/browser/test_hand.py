"""Can a hand in a glove, or a keyboard alone, do the work at a station?

Sizes for a tablet, release and slide, taps alone, the focus, the device's keyboard, the
lead's button: points 3 to 7, 15, 16, 19, 20 and 34 of docs/points.md.
"""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Locator

from tests.browser import halfway, measures
from tests.browser.conftest import DOUBLE_TAP_MS, SIZES, Tablet
from tests.browser.halfway import Halfway
from tests.browser.test_bench_habits import state, told
from tests.browser.test_pages import STATION_SCREENS, Screen
from tests.house import tree
from travelers.floor.models import Hold

# Which size a tablet takes whose screen has so many px a mm, and what 4.8rem are there.
SCALES = {"S": (3.7, 76.8), "M": (4.6, 96.0), "L": (5.8, 118.3)}
LEAST_PX = {"S": 44, "M": 56, "L": 56}
SIZED = ("idle", "running", "keypad", "judged", "defect-kind", "help-part")
# ISO 9241-303, as quoted in public: letters of 16 minutes of arc at least, and 20 for
# what is read in passing; at 60 cm so many mm. The face's capitals are 0.668 of its
# size (its own OS/2 table).
LEAST_CAP_MM, EASY_CAP_MM, CAP = 2.79, 3.49, 0.668
# What no script may wait for: a finger cannot hover, and a glove cannot drag.
GESTURES = re.compile(
    r"addEventListener\(\s*\"(mouse|pointer|touch|drag|dblclick|contextmenu|wheel)"
)


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    with halfway.working() as made:
        halfway.fill(made)
        yield made


def screen(name: str) -> Screen:
    return next(one for one in STATION_SCREENS if one.name == name)


def show(one: Tablet, floor: Halfway, name: str) -> None:
    shown = screen(name)
    one.enter(floor.shop.cast.people[shown.by])
    one.go(shown.address(floor))
    shown.then(one, floor)


def middle(what: Locator) -> tuple[float, float]:
    box = what.bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


# --- Sizes


def set_up(one: Tablet, px_a_mm: float) -> str:
    """Make the card as wide as a real one on this screen; give the size that fits."""
    one.go("/station/SAW/help/")
    card = one.page.locator("[data-shop-card]")
    for step, name in ((20, "Much wider"), (2, "Wider")):
        for _ in range(40):
            box = card.bounding_box()
            assert box
            if box["width"] + step / 2 >= px_a_mm * 85.6:
                break
            one.page.get_by_role("button", name=name, exact=True).click()
    fits = one.page.locator("[data-shop-fits]:not([hidden])")
    size = str(fits.get_attribute("data-shop-fits"))
    one.page.locator(f"[data-shop-size-set={size}]").click()
    return size


@pytest.mark.point(2, 3, 7)
@pytest.mark.parametrize("size", SCALES)
def test_a_tablet_is_set_to_20_mm_by_a_bank_card(
    size: str, floor: Halfway, joiner: Tablet
) -> None:
    px_a_mm, key = SCALES[size]
    assert set_up(joiner, px_a_mm) == size
    found: list[str] = []
    for name in SIZED:
        show(joiner, floor, name)
        for each in SIZES:
            joiner.resize(each)
            faults = measures.touch(joiner.page, least=LEAST_PX[size])
            faults += measures.small_main(joiner.page, least=key)
            faults += measures.overflow(joiner.page)
            found += [f"{name}, {each}: {fault}" for fault in faults]
        found += [f"{name}: {fault}" for fault in low_letters(joiner, px_a_mm)]
    assert not found, "\n".join(found)
    assert key / px_a_mm >= 20


def low_letters(one: Tablet, px_a_mm: float) -> list[str]:
    """Say which letters are too low to be read at 60 cm on such a screen."""
    texts = one.page.evaluate("measures.texts()")
    heights = [(text["said"], text["px"] * CAP / px_a_mm) for text in texts]
    heads = [px * CAP / px_a_mm for px in one.page.evaluate("measures.operations()")]
    low = [f"{said!r} is {mm:.2f} mm" for said, mm in heights if mm < LEAST_CAP_MM]
    return low + [f"the operation is {mm:.2f} mm" for mm in heads if mm < EASY_CAP_MM]


# --- One press


@pytest.mark.point(5)
def test_a_button_acts_on_release_and_sliding_off_cancels(
    floor: Halfway, joiner: Tablet
) -> None:
    floor.steps["slid"] = step = floor.come_to("Saw")
    joiner.go(floor.address("slid"))
    mouse = joiner.page.mouse
    at = middle(joiner.page.locator(".press-next"))
    mouse.move(*at)
    mouse.down()
    joiner.settle()
    assert told(step.part) == []
    mouse.move(at[0], at[1] + 300)
    mouse.up()
    joiner.settle()
    assert told(step.part) == []
    mouse.move(*at)
    mouse.down()
    mouse.up()
    joiner.settle()
    assert (told(step.part), state(step)) == (["START"], "RUNNING")


@pytest.mark.point(6, 18, 19)
def test_taps_alone_do_a_checked_operation(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    step = floor.come_to("Machine")
    one: Tablet = tablet(touch=True)
    one.enter(floor.shop.cast.joiner)
    one.go("/stations/")
    for name in ("Cutter", step.part.instrument.serial, "Start", "Check: Pocket width"):
        tap(one, one.page.get_by_text(name).locator("visible=true").first)
    keys = one.page.locator(".keys")
    for key in "56":
        tap(one, keys.get_by_role("button", name=key, exact=True))
    tap(one, keys.get_by_role("button", name="Decimal point"))
    tap(one, keys.get_by_role("button", name="1", exact=True))
    assert one.page.input_value("#value") == "56.1"
    one.shows("at least 56.05 mm", "at most 56.20 mm")
    tap(one, one.page.locator(".keys-enter"))
    one.shows("Pocket width: 56.1 mm, inside.")
    tap(one, one.page.get_by_role("button", name="Done", exact=True))
    assert told(step.part)[-3:] == ["START", "READ", "FINISH"]


def tap(one: Tablet, what: Locator) -> None:
    # A hand takes longer between two presses than what counts as one tap.
    one.page.wait_for_timeout(max(0, one.page.evaluate(DOUBLE_TAP_MS)))
    what.tap()
    one.settle()


@pytest.mark.point(6)
def test_no_script_waits_for_what_a_glove_cannot_do() -> None:
    scripts = [
        path
        for path in tree.files()
        if path.suffix == ".js" and path.parts[0] == "travelers"
    ]
    assert len(scripts) > 6
    assert [str(path) for path in scripts if GESTURES.search(tree.text(path))] == []
    assert GESTURES.search('a.addEventListener("pointerdown", x)')


@pytest.mark.point(19)
def test_what_is_known_is_not_asked_again(floor: Halfway, joiner: Tablet) -> None:
    first, second = floor.begin("Machine"), floor.begin("Machine")
    joiner.sign_in("joiner")
    asked: list[str] = []
    for turn, step in enumerate((first, second)):
        joiner.go(f"/station/CUTTER/?code={step.part.code}")
        joiner.press("Check: Pocket width")
        if turn == 0:
            joiner.page.select_option("#gauge", label="caliper")
        chosen = joiner.page.eval_on_selector("#gauge", "one => one.value")
        assert chosen == str(floor.shop.cast.gauges["caliper"].pk)
        fields = joiner.page.locator("input:visible, select:visible, textarea:visible")
        asked += [str(one.get_attribute("name")) for one in fields.all()]
        joiner.page.fill("#value", "56.1")
        joiner.press("Enter")
        joiner.press("Done")
    assert set(asked) == {"code", "gauge", "value"}
    assert (state(first), state(second)) == ("DONE", "DONE")


# --- The focus, and the device's keyboard


@pytest.mark.point(6, 16)
@pytest.mark.parametrize(
    ("name", "dark"),
    [
        ("idle", False),
        ("hold", False),
        ("keypad", False),
        ("defect-kind", False),
        ("help-part", False),
        ("keypad", True),
        ("help-part", True),
    ],
)
def test_the_focus_is_seen_wherever_the_tab_key_leads(
    name: str, dark: bool, floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet(dark=dark)
    one.resize("1024x768")
    show(one, floor, name)
    controls = _count(one)
    # The next Tab comes to the first control of the page.
    one.page.evaluate("document.body.tabIndex = -1; document.body.focus()")
    seen: list[str] = []
    found: list[str] = []
    for _ in range(controls + 2):
        one.page.keyboard.press("Tab")
        at = measures.focus(one.page)
        if at["isPage"]:
            break
        seen.append(at["said"])
        if at["ring"] < 2 or at["stands"] < 3 or not at["open"]:
            found.append(str(at))
    assert len(seen) >= controls * 0.8
    assert not found, "\n".join(found)


def _count(one: Tablet) -> int:
    """Count what the Tab key should come to: of a set of choices only one."""
    measures.touch(one.page)
    found = one.page.evaluate(
        """[...document.querySelectorAll("a[href], button, input, select, summary")]
        .filter((one) => one.checkVisibility() && one.tabIndex >= 0 && !one.disabled
          && !one.matches("[type=radio], [type=hidden]")).length"""
    )
    return int(found)


KEYBOARD = (
    ("running", "#scan", ".station-scan button", ""),
    ("hold", "#hold-reason", "details.hold .press", ""),
    ("outside-lead", "#pass-reason", ".pass button", ""),
    ("help-part", "#help-reason", ".help-part .press", ""),
    ("defect-kind", "#note", ".press-next", "Add a note, move the mark"),
)


@pytest.mark.point(15)
@pytest.mark.parametrize(("name", "field", "action", "opened_by"), KEYBOARD)
def test_half_a_screen_has_room_for_the_field_and_its_button(
    name: str,
    field: str,
    action: str,
    opened_by: str,
    floor: Halfway,
    joiner: Tablet,
) -> None:
    show(joiner, floor, name)
    if opened_by:
        joiner.page.get_by_text(opened_by).click()
    typed = joiner.page.locator(field)
    typed.focus()
    for size in ("1280x400", "800x640"):
        joiner.resize(size)
        # As a tablet does when its keyboard comes up.
        typed.evaluate("(one) => one.scrollIntoView({block: 'center'})")
        assert measures.hidden(joiner.page, field) == []
        assert measures.hidden(joiner.page, action) == []


@pytest.mark.point(15)
def test_where_keys_are_drawn_the_devices_keyboard_stays_away(
    floor: Halfway, joiner: Tablet
) -> None:
    show(joiner, floor, "keypad")
    assert joiner.page.eval_on_selector("#value", "(one) => one.inputMode") == "none"


# --- The lead, and the code by hand

HEADED = (
    *("idle", "idle-holding", "scanned", "held", "dwelling", "elsewhere", "join"),
    *("keypad", "judged", "finished", "unknown", "help", "defect-touch", "defect-kind"),
)


@pytest.mark.point(20, 34)
def test_lead_and_scan_field_are_in_one_place_on_every_screen(
    floor: Halfway, joiner: Tablet
) -> None:
    places: dict[str, set[tuple[int, int]]] = {"#lead": set(), "#scan": set()}

    def note(where: str) -> None:
        for name, found in places.items():
            box = joiner.page.locator(name).bounding_box()
            assert box, f"{where} has no {name}"
            found.add((round(box["x"]), round(box["y"])))

    for shown in map(screen, HEADED):
        joiner.go(shown.address(floor))
        note(shown.name)
    for said in ("In touch", "No network", "12 waiting", "12 en espera", "Sin red"):
        joiner.page.evaluate(
            "(said) => { document.getElementById('outbox-net').textContent = said; }",
            said,
        )
        note(said)
    assert {name: len(found) for name, found in places.items()} == {
        "#lead": 1,
        "#scan": 1,
    }


@pytest.mark.point(20)
@pytest.mark.parametrize("scripts", [True, False])
def test_the_lead_is_named_and_a_part_is_held_until_they_come(
    floor: Halfway, tablet: Callable[..., Tablet], *, scripts: bool
) -> None:
    one: Tablet = tablet(scripts=scripts)
    one.enter(floor.shop.cast.joiner)
    step = floor.come_to("Saw")
    one.go("/station/SAW/")
    one.page.fill("#scan", step.part.code)
    one.page.keyboard.press("Enter")
    one.settle()
    one.press("Lead, help")
    one.shows("Lead Cast", step.part.instrument.serial, "How to scan", "Needs a look")
    assert one.page.locator(".help-tablet").is_visible() is scripts
    one.page.fill("#help-reason", "ask the lead about the grain")
    one.touch(".help-part .press")
    one.shows("has been held since", "ask the lead about the grain")
    assert Hold.objects.get(part=step.part).reason == "ask the lead about the grain"


@pytest.mark.point(34)
def test_the_code_to_type_is_two_groups_of_four(floor: Halfway, joiner: Tablet) -> None:
    for name in ("scanned", "running", "keypad", "join"):
        show(joiner, floor, name)
        shown = joiner.page.locator(".instrument .tag-code").inner_text()
        assert re.fullmatch(r"[0-9A-Z]{4}-[0-9A-Z]{4}", shown)
