"""What does each tablet offer: a camera, several, a light, none, or no leave?"""

import pytest
from pytest_django import Settings
from pytest_django.live_server_helper import LiveServer

from tests.browser import measures
from tests.browser.camera.conftest import (
    FAKE,
    GRANT,
    SAID,
    TRACKS,
    At,
    Play,
    aim,
    is_dark,
    link,
    nothing,
    press_camera,
    read,
    scans_by_wedge,
    until,
)
from tests.browser.camera.films import Held, seen
from tests.browser.conftest import SIZES, Tablet
from tests.browser.halfway import Halfway


def test_a_camera_that_is_refused_says_how_to_allow_it(
    floor: Halfway, playing: Play, saw: At
) -> None:
    one = saw(playing(nothing(), grant=f"{GRANT}=deny"))
    one.context.clear_permissions()
    press_camera(one)
    until(one.page, f"{SAID} === 'Denied'")
    one.shows("does not let this page use the camera", "Allow it", "Start again")
    scans_by_wedge(one, floor)
    one.press("Close")


def test_a_tablet_without_a_camera_says_so(floor: Halfway, tablet: At) -> None:
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    one.go("/station/SAW/")
    one.page.get_by_text("No camera?").locator("visible=true").click()
    one.shows("This device has no camera that the browser knows of.")
    for size in SIZES:
        one.picture("camera-none", size=size)
        assert [*measures.touch(one.page), *measures.overflow(one.page)] == []
    assert one.axe(enhanced_contrast=True) == []
    assert one.page.get_by_role("button", name="Camera", exact=True).count() == 0
    scans_by_wedge(one, floor)


@pytest.mark.proof("D4")
@pytest.mark.point(41)
def test_at_a_plain_address_it_says_what_is_missing(
    floor: Halfway,
    playing: Play,
    saw: At,
    server: LiveServer,
    settings: Settings,
) -> None:
    settings.ALLOWED_HOSTS = ["shop.lan"]
    named = "--host-resolver-rules=MAP shop.lan 127.0.0.1"
    home = f"http://shop.lan:{server.thread.port}"
    one: Tablet = saw(playing(nothing(), grant=named), home=home)
    one.page.get_by_text("No camera?").locator("visible=true").click()
    one.shows("Browsers give the camera only to an address that begins with https.")
    assert one.page.get_by_role("button", name="Camera", exact=True).count() == 0
    scans_by_wedge(one, floor)


def test_without_scripts_there_is_no_button(floor: Halfway, tablet: At) -> None:
    one: Tablet = tablet(scripts=False)
    one.enter(floor.shop.cast.joiner)
    one.go("/station/SAW/")
    one.shows("Scan, or type the code")
    for hook in ("camera-open", "camera", "camera-not"):
        for found in one.page.locator(f"[data-shop-{hook}]").all():
            assert not found.is_visible()


def test_a_reader_that_cannot_be_loaded_is_asked_for_again(
    floor: Halfway, playing: Play, saw: At
) -> None:
    part = floor.come_to("Saw").part
    one = saw(playing(seen((link(part), Held()))))
    one.context.route("**/*.wasm", lambda route: route.abort())
    press_camera(one)
    until(one.page, f"{SAID} === 'Unread'")
    assert is_dark(one.page)
    one.shows("could not be loaded", "Look to the network")
    one.context.unroute("**/*.wasm")
    one.page.get_by_role("button", name="Start again").click()
    assert read(one) == [link(part)]


@pytest.mark.point(33)
def test_the_torch_is_offered_where_there_is_one(
    floor: Halfway, playing: Play, saw: At
) -> None:
    torch = """
      window.lit = [];
      MediaStreamTrack.prototype.getCapabilities = () => ({torch: true});
      MediaStreamTrack.prototype.applyConstraints = async (asked) => {
        lit.push(asked.advanced[0].torch);
      };"""
    one = saw(playing(nothing()), script=torch)
    aim(one)
    button = one.page.get_by_role("button", name="Torch")
    for lit in (True, False):
        button.click()
        assert button.get_attribute("aria-pressed") == str(lit).lower()
    assert one.page.evaluate("lit") == [True, False]


def test_of_several_cameras_the_other_can_be_taken(
    floor: Halfway, playing: Play, saw: At
) -> None:
    one = saw(playing(device=f"{FAKE}=device-count=2"))
    aim(one)
    one.page.get_by_role("button", name="Other camera").click()
    until(one.page, f"streams.length === 2 && {SAID} === 'Aim'")
    assert one.page.evaluate(TRACKS) == ["ended", "live"]
    first, second = one.page.evaluate(
        "streams.map((one) => one.getTracks()[0].getSettings().deviceId)"
    )
    assert first != second


def test_front_and_back_are_kept_by_the_tablet(
    floor: Halfway, playing: Play, saw: At
) -> None:
    facing = """
      window.wanted = [];
      const truly = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
      navigator.mediaDevices.getUserMedia = (asked) => {
        wanted.push(asked.video.facingMode.ideal);
        return truly(asked);
      };
      MediaStreamTrack.prototype.getSettings = () => ({facingMode: wanted.at(-1)});"""
    one = saw(playing(device=f"{FAKE}=device-count=2"), script=facing)
    aim(one)
    one.page.get_by_role("button", name="Other camera").click()
    until(one.page, f"streams.length === 2 && {SAID} === 'Aim'")
    assert one.page.evaluate("wanted") == ["environment", "user"]
    assert one.page.locator("video.camera-mirrored").count() == 1
    one.go("/station/SAW/")
    aim(one)
    assert one.page.evaluate("wanted") == ["user"]


def test_the_panel_fits_gloves_and_every_eye(
    floor: Halfway, playing: Play, saw: At
) -> None:
    one = saw(playing(device=f"{FAKE}=device-count=2"))
    one.go("/station/RACK/")
    aim(one)
    found: list[str] = []
    for dark in (False, True):
        one.page.emulate_media(color_scheme="dark" if dark else "light")
        found += one.axe(enhanced_contrast=True)
        for size in (*SIZES, "800x1280", "768x1024", "640x400", "320x640"):
            one.picture(f"camera-{'dark' if dark else 'light'}", size=size)
            found += [f"{size}: {fault}" for fault in _unfit(one)]
    assert not found, "\n".join(found)


def _unfit(one: Tablet) -> list[str]:
    small = [line for line in measures.touch(one.page) if "too small" in line]
    reach = measures.out_of_reach(one.page, "[data-shop-camera-do=close]")
    return [*measures.overflow(one.page), *small, *reach]
