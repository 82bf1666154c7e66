"""What is held before a tablet's camera, and what has it read?

Chromium plays a film instead of a camera: our own symbols, held in every way.
"""

from collections.abc import Callable, Iterator
from uuid import uuid4

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.browser import halfway
from tests.browser.camera.films import Held, film, seen
from tests.browser.conftest import ARGUMENTS, Tablet
from tests.browser.halfway import Halfway
from tests.browser.program import browser_program
from travelers.formulas import codes
from travelers.orders.models import Part

FAKE = "--use-fake-device-for-media-stream"
GRANT = "--use-fake-ui-for-media-stream"
# What was read, and every stream that was ever given, kept by the page itself.
LISTEN = """
window.scans = [];
window.streams = [];
window.pressedAt = 0;
document.addEventListener("click", () => { pressedAt = performance.now(); }, true);
document.addEventListener("shop:scanned", (event) =>
  scans.push({text: event.detail.text, at: performance.now(),
    ms: performance.now() - pressedAt}));
if (navigator.mediaDevices) {
  const given = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = async (asked) => {
    const stream = await given(asked);
    streams.push(stream);
    return stream;
  };
}
"""
TRACKS = "streams.flatMap((one) => one.getTracks()).map((one) => one.readyState)"
SAID = "document.querySelector('[data-shop-camera]').dataset.shopCamera"
OURS = ("camera_worker.js", "ponyfill.js", "zxing_reader.wasm")
STAY_OPEN = 3
Play = Callable[..., Browser]
At = Callable[..., Tablet]


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    with halfway.working() as made:
        yield made


@pytest.fixture(scope="module")
def playing(
    chromium: Browser, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Play]:
    """Give browsers whose camera shows a film, or without one Chromium's own clock.

    One that shows the same is given again; only the last few stay open.
    """
    folder = tmp_path_factory.mktemp("films")
    opened: dict[tuple[object, ...], Browser] = {}

    def play(
        *pictures: Image.Image, device: str = FAKE, grant: str = GRANT, every: int = 4
    ) -> Browser:
        shown = (device, grant, every, *(picture.tobytes() for picture in pictures))
        if shown not in opened:
            also = [device, *filter(None, [grant])]
            if pictures:
                path = film(folder / f"{uuid4()}.y4m", *pictures, every=every)
                also.append(f"--use-file-for-fake-video-capture={path}")
            opened[shown] = chromium.browser_type.launch(
                executable_path=browser_program(), args=[*ARGUMENTS, *also]
            )
        # The one that is given counts as the last.
        opened[shown] = opened.pop(shown)
        while len(opened) > STAY_OPEN:
            opened.pop(next(iter(opened))).close()
        return opened[shown]

    yield play
    for browser in opened.values():
        browser.close()


@pytest.fixture
def saw(floor: Halfway, playing: Play, tablet: At) -> At:
    """Give a tablet at the saw; something is held before its camera."""

    def at_the_saw(
        browser: Browser, *, script: str = "", dark: bool = False, home: str = ""
    ) -> Tablet:
        one: Tablet = tablet(browser=browser, dark=dark, home=home)
        one.context.add_init_script(LISTEN + script)
        one.enter(floor.shop.cast.joiner)
        one.go("/station/SAW/")
        return one

    return at_the_saw


def link(part: Part) -> str:
    return codes.link(part.code, "HTTPS://SHOP.LAN")


def nothing() -> Image.Image:
    """Show a symbol too blurred for any reader."""
    return seen((codes.link("P000010F"), Held(blur=16)))


def until(page: Page, expression: str) -> None:
    """Wait until the page says yes; the policy forbids Playwright's own way."""
    for _ in range(400):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(25)
    raise AssertionError(f"not so: {expression}\n{page.inner_text('body')}")


def press_camera(one: Tablet) -> None:
    one.page.get_by_role("button", name="Camera", exact=True).click()


def aim(one: Tablet) -> None:
    """Press the button and wait until the camera is looking."""
    press_camera(one)
    until(one.page, f"{SAID} === 'Aim'")
    assert one.page.evaluate(TRACKS)[-1] == "live"


def read(one: Tablet, count: int = 1) -> list[str]:
    until(one.page, f"scans.length >= {count}")
    one.settle()
    return [scan["text"] for scan in one.page.evaluate("scans")]


def is_dark(page: Page) -> bool:
    return set(page.evaluate(TRACKS)) == {"ended"}


def asked(one: Tablet) -> list[str]:
    """Collect the addresses that are asked for from now on."""
    urls: list[str] = []
    one.page.on("request", lambda request: urls.append(request.url))
    return urls


def scans_by_wedge(one: Tablet, floor: Halfway) -> None:
    """Show that the page works as ever."""
    other = floor.come_to("Saw").part
    one.scan(other.code)
    one.shows(other.instrument.serial)
