"""Does the camera go off whenever nobody scans, and touch nothing else?"""

import pytest

from tests.browser.camera.conftest import (
    TRACKS,
    At,
    Play,
    aim,
    is_dark,
    nothing,
    press_camera,
    until,
)
from tests.browser.halfway import Halfway

STOPS = {
    "Close": "document.querySelector('[data-shop-camera-do=close]').click()",
    "page left": "dispatchEvent(new Event('pagehide'))",
    "page hidden": """
        Object.defineProperty(document, 'hidden', {value: true, configurable: true});
        document.dispatchEvent(new Event('visibilitychange'));
        delete document.hidden;""",
    "unplugged": "streams[0].getTracks()[0].dispatchEvent(new Event('ended'))",
}


@pytest.mark.point(33)
@pytest.mark.parametrize("way", STOPS)
def test_the_camera_goes_off(floor: Halfway, playing: Play, saw: At, way: str) -> None:
    one = saw(playing(nothing()))
    aim(one)
    one.page.evaluate(STOPS[way])
    until(one.page, f"{TRACKS}.join() === 'ended'")
    stays = way in ("page hidden", "unplugged")
    panel = one.page.locator("dialog[data-shop-camera]")
    assert panel.is_visible() is stays
    if stays:
        one.page.get_by_role("button", name="Start again").click()
    else:
        one.page.wait_for_timeout(450)
        press_camera(one)
    until(one.page, f"{TRACKS}.join() === 'ended,live'")
    one.page.keyboard.press("Escape")
    assert is_dark(one.page)
    assert not panel.is_visible()


def test_closed_before_it_has_started_it_never_shines(
    floor: Halfway, playing: Play, saw: At
) -> None:
    one = saw(playing(nothing()))
    one.page.evaluate("""document.querySelector('[data-shop-camera-open]').click();
        document.querySelector('[data-shop-camera-do=close]').click();""")
    until(one.page, "streams.length")
    until(one.page, f"{TRACKS}.join() === 'ended'")


@pytest.mark.point(33)
def test_after_a_minute_without_a_symbol_it_is_off(
    floor: Halfway, playing: Play, saw: At
) -> None:
    browser = playing(nothing())
    one = saw(browser)
    one.page.clock.install()
    one.go("/station/SAW/")
    aim(one)
    one.page.clock.fast_forward(55_000)
    assert one.page.evaluate(TRACKS) == ["live"]
    one.page.clock.fast_forward(6_000)
    assert one.page.evaluate(TRACKS) == ["ended"]
    one.shows("A minute without a symbol", "Start again")


def test_a_second_tap_on_close_touches_nothing_beneath(
    floor: Halfway, playing: Play, saw: At
) -> None:
    one = saw(playing(nothing()))
    aim(one)
    one.page.evaluate("""window.beneath = 0;
        document.body.addEventListener("click", (event) => {
          if (!event.target.closest("dialog")) beneath += 1; });""")
    close = one.page.get_by_role("button", name="Close", exact=True).bounding_box()
    assert close
    at = (close["x"] + close["width"] / 2, close["y"] + close["height"] / 2)
    one.page.mouse.dblclick(*at)
    assert not one.page.locator("dialog[data-shop-camera]").is_visible()
    assert one.page.evaluate("beneath") == 0
    one.page.wait_for_timeout(450)
    one.page.mouse.click(*at)
    assert one.page.evaluate("beneath") == 1
