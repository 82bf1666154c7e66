"""Can a screen be used with gloves on, from an arm's length, without scrolling?

The figures are the shop's own, from its design of the station screens; the law asks for
less (WCAG 2.2, 2.5.8 target size: 24 px).  Sizes are in CSS pixels.
"""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page

SCRIPT = Path(__file__).with_name("measures.js").read_text(encoding="utf-8")
TOUCH = 56
BETWEEN = 8
# A link within a sentence has the height of its line.
IN_TEXT = 24
BODY_TEXT = 20
OPERATION_TEXT = 36
# A browser lays out in fractions of a pixel.
SLACK = 0.5


def _measured(page: Page, call: str) -> list[Any]:
    if not page.evaluate("'measures' in window"):
        page.evaluate(SCRIPT)
    found: list[Any] = page.evaluate(f"measures.{call}")
    return found


def overflow(page: Page) -> list[str]:
    """Say if the page is wider than the screen, and what sticks out."""
    return [f"sticks out: {one}" for one in _measured(page, "stickingOut()")]


def touch(page: Page) -> list[str]:
    """Say which controls are too small, and which too close to their neighbour."""
    boxes = _measured(page, "controls()")
    assert boxes, "the page has no controls at all"
    return [*_small(boxes), *_close(boxes)]


def _small(boxes: list[dict[str, Any]]) -> list[str]:
    return [
        f"too small: {box['said']!r} is {box['wide']:.0f} by {box['high']:.0f}"
        for box in boxes
        if box["high"] < (IN_TEXT if box["inText"] else TOUCH) - SLACK
        or (box["wide"] < TOUCH - SLACK and not box["inText"])
    ]


def _close(boxes: list[dict[str, Any]]) -> list[str]:
    touched = [box for box in boxes if not box["inText"]]
    return [
        f"too close: {one['said']!r} and {other['said']!r} are {gap:.0f} apart"
        for number, one in enumerate(touched)
        for other in touched[number + 1 :]
        if (gap := _gap(one, other)) < BETWEEN - SLACK
    ]


def _gap(one: dict[str, Any], other: dict[str, Any]) -> float:
    """Give the distance of two boxes along the axis that parts them most."""
    ways = (("x", "wide"), ("y", "high"))
    return max(
        after[axis] - before[axis] - before[size]
        for axis, size in ways
        for before, after in ((one, other), (other, one))
    )


def small_text(page: Page) -> list[str]:
    texts = _measured(page, "texts()")
    assert texts, "the page says nothing at all"
    return [
        f"small text: {text['said']!r} is {text['px']:.1f} px"
        for text in texts
        if text["px"] < BODY_TEXT - SLACK
    ]


def small_operation(page: Page) -> list[str]:
    """Say if the operation cannot be read from an arm's length."""
    sizes = _measured(page, "operations()")
    if not sizes:
        return ["no operation is shown"]
    return [f"the operation is {px:.1f} px" for px in sizes if px < OPERATION_TEXT]


def out_of_reach(page: Page, selector: str) -> list[str]:
    """Say which of the things named are not wholly on the unscrolled screen."""
    page.evaluate("scrollTo(0, 0)")
    things = _measured(page, f"reach({selector!r})")
    if not things:
        return [f"not there: {selector}"]
    outside = [
        f"out of reach: {selector} ends at {at['right']:.0f}, {at['bottom']:.0f}"
        for at in things
        if not at["inside"]
    ]
    covered = [at for at in things if at["inside"] and not at["met"]]
    return outside + [f"something lies over {selector}"] * len(covered)
