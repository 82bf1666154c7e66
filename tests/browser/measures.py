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
# What moves the work; upright, number keys may be a little lower.
MAIN, UPRIGHT_KEY = 96, 80
# What is grave stands so far from what comes next.
APART = 24
# WCAG 2.2, 1.4.11: the edge of a control against what is round it.
EDGE = 3
# A link within a sentence has the height of its line.
IN_TEXT = 24
BODY_TEXT = 20
OPERATION_TEXT = 36
# A browser lays out in fractions of a pixel.
SLACK = 0.5
# How often the page is asked before what is covered counts as covered.
FRAMES = 10


def _measured(page: Page, call: str) -> list[Any]:
    if not page.evaluate("'measures' in window"):
        page.evaluate(SCRIPT)
    found: list[Any] = page.evaluate(f"measures.{call}")
    return found


def overflow(page: Page) -> list[str]:
    """Say what sticks out of the screen, and which texts lie over each other."""
    over = [f"printed over: {one}" for one in _measured(page, "printedOver()")]
    return [*over, *(f"sticks out: {one}" for one in _measured(page, "stickingOut()"))]


def touch(page: Page, *, least: float = TOUCH) -> list[str]:
    """Say which controls are too small, and which too close to their neighbour."""
    boxes = _measured(page, "controls()")
    assert boxes, "the page has no controls at all"
    return [*_small(boxes, least), *_close(boxes)]


def small_main(page: Page, *, least: float = MAIN) -> list[str]:
    """Say which main action is too small for a standing hand in a glove."""
    return [
        f"too small to work with: {box['said']!r} is {box['wide']:.0f} by"
        f" {box['high']:.0f}"
        for box in _measured(page, "mains()")
        if min(box["wide"], box["high"]) < least - SLACK
    ]


def grave_near(page: Page) -> list[str]:
    """Say what is grave and stands too near to what comes next."""
    return [
        f"too near: {grave['said']!r} is {gap:.0f} from {after['said']!r}"
        for grave in _measured(page, "graves()")
        for after in _measured(page, "nexts()")
        if (gap := _gap(grave, after)) < APART - SLACK
    ]


def faint_edges(page: Page) -> list[str]:
    """Say which control with an edge does not stand out from what is round it."""
    return [
        f"faint edge: {one['said']!r} has {one['best']:.1f}:1"
        for one in _measured(page, "edges()")
        if one["best"] < EDGE and not one["bare"]
    ]


def focus(page: Page) -> dict[str, Any]:
    """Say where the focus is, how it is ringed, and whether something lies over it.

    A page scrolls to what has the focus a little after it has it.
    """
    for _ in range(FRAMES):
        at = dict(_measured(page, "focus()"))  # type: ignore[arg-type]
        if at["open"]:
            break
        page.wait_for_timeout(50)
    return at


def lost_by_spacing(page: Page) -> list[str]:
    """Say what is cut off or pushed off when letters and lines stand wider."""
    _measured(page, "space(true)")
    lost = [f"cut off by spacing: {said}" for said in _measured(page, "cut()")]
    lost += [f"spacing: {one}" for one in overflow(page)]
    _measured(page, "space(false)")
    return lost


def thin(page: Page) -> list[str]:
    weights = _measured(page, "weights()")
    assert weights, "the page says nothing at all"
    return [f"thin letters: {weight}" for weight in weights if weight < 400]


def _small(boxes: list[dict[str, Any]], least: float) -> list[str]:
    return [
        f"too small: {box['said']!r} is {box['wide']:.0f} by {box['high']:.0f}"
        for box in boxes
        if box["high"] < (IN_TEXT if box["inText"] else least) - SLACK
        or (box["wide"] < least - SLACK and not box["inText"])
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


def small_text(page: Page, *, least: float = BODY_TEXT) -> list[str]:
    texts = _measured(page, "texts()")
    assert texts, "the page says nothing at all"
    return [
        f"small text: {text['said']!r} is {text['px']:.1f} px"
        for text in texts
        if text["px"] < least - SLACK
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
    return hidden(page, selector)


def hidden(page: Page, selector: str) -> list[str]:
    """Say which of the things named are not wholly on the screen as it is scrolled."""
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
