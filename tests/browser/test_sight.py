"""Is every state told apart without colour, by day, by night, and without motion?

Points 9, 10 and 17 of docs/points.md.  Chromium itself shows the screen as somebody
would see it who has no red, no green or no colour at all.
"""

import io
import re
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageOps, ImageStat

from tests.browser.conftest import Tablet
from tests.browser.halfway import Halfway
from tests.house import tree
from travelers.floor.rules import Wish

EYES = ("achromatopsia", "deuteranopia", "protanopia")
# Shapes on a square of so many dots, in grey; the mean of how far each dot differs, of
# 255. The same mark twice differs by 0, a ring and a disc by some 30.
SIDE, APART = 48, 12
MARKS = (".states svg", ".shapes li > svg")
MOVES = re.compile(r"@keyframes|(?<![-\w])(?:animation|transition)(?:-\w+)?\s*:")


def see_as(one: Tablet, eye: str) -> None:
    session = one.context.new_cdp_session(one.page)
    session.send("Emulation.setEmulatedVisionDeficiency", {"type": eye})


def drawn(one: Tablet, selector: str) -> list[Image.Image]:
    """Take a picture of each mark as it is seen, in grey and of one size."""
    found = [
        Image.open(io.BytesIO(mark.screenshot(caret="initial")))
        for mark in one.page.locator(selector).all()
    ]
    return [
        ImageOps.autocontrast(ImageOps.grayscale(picture).resize((SIDE, SIDE)))
        for picture in found
    ]


def apart(one: Image.Image, other: Image.Image) -> float:
    return float(ImageStat.Stat(ImageChops.difference(one, other)).mean[0])


@pytest.mark.point(9)
@pytest.mark.parametrize(
    ("eye", "dark"), [*((eye, False) for eye in EYES), (EYES[0], True)]
)
def test_states_and_answers_are_told_apart_without_colour(
    eye: str, dark: bool, floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet(dark=dark)
    one.enter(floor.shop.cast.joiner)
    see_as(one, eye)
    one.go("/station/SAW/help/")
    for selector, count in zip(MARKS, (6, 3), strict=True):
        marks = drawn(one, selector)
        assert len(marks) == count
        closest = min(apart(*pair) for pair in combinations(marks, 2))
        assert closest >= APART, f"{selector} under {eye}: {closest:.1f}"
        assert apart(marks[0], drawn(one, selector)[0]) < 1
    words = one.page.locator(".states li, .shapes b").all_inner_texts()
    assert len({word.strip() for word in words}) == 9


@pytest.mark.point(9)
def test_the_eye_without_colour_sees_none(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    """Else the test above would see the colours, and prove nothing."""
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    one.go("/station/SAW/help/")
    assert colourful(one) > 40
    see_as(one, EYES[0])
    assert colourful(one) <= 2


def colourful(one: Tablet) -> int:
    """Say how far the channels of the screen differ at most."""
    shot = Image.open(io.BytesIO(one.page.screenshot(caret="initial"))).convert("RGB")
    red, green, blue = shot.split()
    return max(
        int(ImageChops.difference(one, other).getextrema()[1])  # type: ignore[arg-type]
        for one, other in ((red, green), (green, blue))
    )


@pytest.mark.point(9)
def test_a_part_in_each_state_says_so_by_word_and_mark(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    held = floor.come_to("Saw")
    floor.shop.must(Wish.HOLD, held, reason="the grain runs out", only_part=True)
    for step, word in (
        (floor.come_to("Saw"), "waiting"),
        (floor.begin("Saw"), "in work"),
        (floor.begin("Dry"), "drying or curing"),
        (held, "held"),
    ):
        code = step.part.code
        one.go(f"/station/SAW/?code={code}")
        state = one.page.locator(".instrument .state")
        assert state.inner_text().strip() == word
        assert state.locator("svg.mark-alone").count() == 1


@pytest.mark.point(10)
def test_one_tap_between_light_and_dark_is_kept_by_the_tablet(
    floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    one.go("/station/SAW/")
    by_day = ground(one)
    one.press("Light, dark")
    by_night = ground(one)
    assert by_day != by_night
    for path in ("/station/SAW/", "/stations/"):
        one.go(path)
        assert ground(one) == by_night
    # The device goes dark by itself in the evening: what was chosen stays.
    one.press("Light, dark")
    one.page.emulate_media(color_scheme="dark")
    one.go("/station/SAW/")
    assert ground(one) == by_day


def ground(one: Tablet) -> str:
    return str(
        one.page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    )


FLASH = """(kind) => {
  const piece = document.createElement("p");
  piece.dataset.shopAnswer = kind;
  piece.dataset.shopWord = kind;
  document.querySelector("main").append(piece);
  piece.dispatchEvent(new Event("shop:answered", {bubbles: true}));
  const shown = document.querySelector(".answer-flash");
  return Boolean(shown) && !shown.classList.contains("answer-band");
}"""


@pytest.mark.point(17)
@pytest.mark.parametrize(("motion", "most"), [("no-preference", 3), ("reduce", 0)])
def test_ten_answers_in_a_second_flash_no_more_than_thrice(
    motion: str, most: int, floor: Halfway, tablet: Callable[..., Tablet]
) -> None:
    one: Tablet = tablet()
    one.page.emulate_media(reduced_motion=motion)  # type: ignore[arg-type]
    one.enter(floor.shop.cast.joiner)
    one.clock.install()
    one.go("/station/SAW/")
    one.clock.pause_at(one.page.evaluate("Date.now() + 5000"))
    whole: list[bool] = []
    for kind in ("accepted", "refused") * 5:
        whole.append(bool(one.page.evaluate(FLASH, kind)))
        one.clock.run_for(100)
    assert sum(whole) == most


@pytest.mark.point(17)
def test_no_sheet_moves_anything() -> None:
    sheets = [
        path
        for path in tree.files()
        if path.suffix == ".css" and path.parts[0] == "travelers"
    ]
    assert len(sheets) > 8
    assert [str(path) for path in sheets if moving(path)] == []
    assert MOVES.search(".a { animation: spin 1s; }")
    assert MOVES.search(".a { transition-duration: 1s }")


def moving(path: Path) -> bool:
    """Say if a sheet moves something; that nothing shall move may be said."""
    text = re.sub(r"(?:animation|transition): none", "", tree.text(path))
    return bool(MOVES.search(text))
