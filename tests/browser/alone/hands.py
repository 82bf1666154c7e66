"""What do people do at a tablet that may be alone, and what is asked of the ledger?"""

from playwright.sync_api import Page
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from tests.browser.alone.apart import Alone, until
from tests.browser.conftest import PICTURES, SCAN, WANTED
from travelers.floor.models import Event
from travelers.floor.queries import audit
from travelers.formulas.cards import Command, code_of

BANNER = "#outbox-banner"
PERSON = "document.body.dataset.shopPerson"
# Whose page of this station is kept for the time without network.
KEPT = """caches.match(location.origin + location.pathname)
  .then((kept) => kept ? kept.text() : "")
  .then((text) => (text.match(/data-shop-person="([0-9]+)"/) || ["", ""])[1])"""


def go(page: Page, tablet: Alone, station: str = "SAW") -> None:
    """Open a station, and wait until the tablet has taken along what is due there."""
    page.goto(f"{tablet.home}/station/{station}/")
    took = "shopStore.due(document.getElementById('outbox').dataset.due)"
    until(page, lambda: page.evaluate(f"{took}.then((due) => Boolean(due))"))
    until(page, lambda: page.evaluate(KEPT) == page.evaluate(PERSON))
    until(page, lambda: "waiting" not in page.inner_text("#outbox-net"))


def scan(page: Page, code: str) -> None:
    page.evaluate(SCAN, code)
    page.wait_for_timeout(150)


def card(page: Page, *commands: Command) -> None:
    """Scan command cards, one after the other."""
    for command in commands:
        scan(page, code_of(command))


def press(page: Page, name: str) -> None:
    """Press by its words, late enough to be no second tap."""
    page.wait_for_timeout(420)
    found = page.get_by_role("button", name=name, exact=True).or_(
        page.get_by_role("link", name=name, exact=True)
    )
    try:
        found.locator("visible=true").first.click()
    except PlaywrightTimeout as missing:
        said = page.inner_text("body")
        raise AssertionError(f"nothing says {name!r} on:\n{said}") from missing
    page.wait_for_timeout(120)


def measure(page: Page, typed: str) -> None:
    page.fill("#scene [data-shop-keypad]", typed)
    press(page, "Enter")


def away(page: Page) -> None:
    """Wait until the page says so: its banner does, also where something waits."""
    until(page, lambda: "No network" in page.inner_text("body"))


def said(step_id: int) -> list[str]:
    rows = Event.objects.filter(step_id=step_id, accepted=True).order_by("seq")
    return [str(kind) for kind in rows.values_list("kind", flat=True)]


def agrees() -> None:
    for number in audit.instrument_ids():
        assert list(audit.check_instrument(instrument_id=number).differences) == []
    assert list(audit.check_loads()) == []


def picture(page: Page, name: str) -> None:
    if not WANTED:
        return
    PICTURES.mkdir(exist_ok=True)
    for wide, high in ((1280, 800), (1024, 768)):
        page.set_viewport_size({"width": wide, "height": high})
        path = PICTURES / f"alone-{name}-{wide}x{high}.png"
        page.screenshot(path=path, caret="initial")
    page.set_viewport_size({"width": 1280, "height": 800})
