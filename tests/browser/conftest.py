"""How is a real browser driven, and what may never happen in it?"""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.conf import settings
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.management import call_command
from django.db import connections
from django.test import Client
from playwright.sync_api import (
    Browser,
    BrowserContext,
    ConsoleMessage,
    Locator,
    Page,
    Playwright,
    sync_playwright,
)
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import TimeoutError as PlaywrightTimeout
from playwright.sync_api._generated import Clock
from pytest_django.live_server_helper import LiveServer
from pytest_django.plugin import DjangoDbBlocker

from tests import make
from tests.browser import halfway, measures
from tests.browser.halfway import Halfway
from tests.browser.program import browser_program
from tests.cast import PASSWORD
from travelers.shop.models import Person

PICTURES = Path(__file__).resolve().parent.parent.parent / "test-results"
WANTED = bool(os.environ.get("PICTURES"))
AXE = Path(__file__).resolve().parent / "vendor" / "axe.min.js"
SIZES = ("1280x800", "1024x768")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NOT_RUN = "NOT RUN: no Chromium on this machine, so no screen was tried in a browser."
# The rules of axe-core that a page of other colours may break anew.
COLOURS = ("color-contrast", "link-in-text-block")
# How long a second tap still counts for nothing, as the page itself tells it.
DOUBLE_TAP_MS = """() =>
  420 - (Date.now() - Number(sessionStorage.getItem("shop-pressed-at")))"""
# A scan's keys, pressed by the page itself: keys that come from outside may be torn
# apart on a busy machine, with pauses that no scanner makes.
SCAN = """(text) => {
  for (const key of [...text, "Enter"])
    document.activeElement.dispatchEvent(
      new KeyboardEvent("keydown", {key, bubbles: true, cancelable: true}));
}"""
# How fast the slowest scanner of the shop types.
SCANNER_MS = 5
# On a busy machine a page may be slow, but not as slow as this.
WAIT_MS = 12_000
# Told to the page before any of its own scripts: each breach of the policy is kept.
LISTEN = """
window.breaches = [];
window.asking = 0;
addEventListener("htmx:beforeRequest", () => { asking += 1; });
addEventListener("htmx:afterRequest", (event) => {
  // Where a whole page follows, this one asks until it is gone.
  if (event.detail.xhr.getResponseHeader("HX-Redirect")) return;
  // An answer is swapped in and settled a moment after it came.
  setTimeout(() => { asking -= 1; }, 80);
});
// A press is kept on the tablet before it is sent.
addEventListener("shop:keeping", () => { asking += 1; });
addEventListener("shop:kept", () => setTimeout(() => { asking -= 1; }, 20));
// The time between keys, where a test sets it: a busy machine tears them apart.
window.keyGap = 0;
const keyTimes = new WeakMap();
const ownTime = Object.getOwnPropertyDescriptor(Event.prototype, "timeStamp");
let keyAt = 0;
Object.defineProperty(KeyboardEvent.prototype, "timeStamp", {get() {
  const own = ownTime.get.call(this);
  if (!keyTimes.has(this)) {
    keyAt = keyGap && own - keyAt < 5000 ? keyAt + keyGap : own;
    keyTimes.set(this, keyAt);
  }
  return keyTimes.get(this);
}});
const leaving = (event) =>
  setTimeout(() => { if (!event.defaultPrevented) asking += 1; });
addEventListener("submit", leaving);
addEventListener("click", (event) => {
  if (event.target.closest("a[href]:not([href^='#'])")) leaving(event);
});
addEventListener("securitypolicyviolation", (event) =>
  breaches.push([event.violatedDirective, event.blockedURI, location.pathname,
    event.sourceFile, event.lineNumber].join(" ")));
"""

# How many presses this tablet keeps, where it keeps any at all.
STILL_KEPT = "self.shopOutbox ? Number(localStorage.getItem('shop-waiting')) : 0"

# The browser's own loop runs in this thread; the tests' queries are no danger to it.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).resolve().parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.browser)
            # A busy machine tears a page's moments apart. What fails is tried once
            # more, and the report names it: see docs/decisions/.
            item.add_marker(pytest.mark.flaky(reruns=1))


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def chromium(driver: Playwright) -> Iterator[Browser]:
    path = browser_program()
    if path is None:
        pytest.skip(NOT_RUN)
    browser = driver.chromium.launch(executable_path=path, args=ARGUMENTS)
    yield browser
    browser.close()


class LeaveFiles(StaticFilesHandler):
    """Stand where Django's test server would give out static files, and let them be."""

    def _should_handle(self, path: str) -> bool:
        return False


def serving() -> LiveServer:
    """Start a server whose static files come as in a shop, with their headers."""
    running = LiveServer("localhost", start=False)
    running.thread.static_handler = LeaveFiles
    running.start()
    return running


@pytest.fixture(scope="session")
def server(django_db_setup: None) -> Iterator[LiveServer]:
    """Serve the shop to the browser.

    Not by the plugin's own fixture: that empties the database after each test, and a
    module may keep one shop for all of its tests (see ``db``).
    """
    running = serving()
    yield running
    running.stop()


@pytest.fixture(scope="module")
def db(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Let the tests of a module share one shop; the tables are emptied at its end.

    It stands in for the plugin's own, by whose name the plugin sees that a database
    is wanted at all.
    """
    with django_db_blocker.unblock():
        yield
        call_command("flush", interactive=False, verbosity=0)
        connections.close_all()


@dataclass
class Tablet:
    """A browser with its own cookies, watched for what may never happen."""

    context: BrowserContext
    page: Page
    home: str
    scripts: bool = True
    fingers: bool = False
    faults: list[str] = field(default_factory=list)
    # No test after this one shall have its context.
    is_spent: bool = False

    @property
    def clock(self) -> Clock:
        """The page's clock, which stays in the context once it is moved by hand."""
        self.is_spent = True
        return self.page.clock

    def go(self, path: str) -> None:
        self._let_go()
        self.page.goto(f"{self.home}{path}")
        self._rest()

    def settle(self) -> None:
        """Wait until the page has done what follows a press or a scan."""
        self.page.wait_for_timeout(40)
        self.page.wait_for_load_state("load" if self.scripts else "networkidle")
        self._rest()

    def _let_go(self) -> None:
        """Wait until no press that was answered is still kept here: it would go again.

        Where a test holds presses up they stay, and this is over in a moment.
        """
        for _ in range(20):
            if self.page.url == "about:blank" or not self.tells(STILL_KEPT):
                return
            self.page.wait_for_timeout(20)

    def _rest(self) -> None:
        """Wait until nothing is being asked, and note the breaches until then."""
        if not self.scripts:
            return
        # The policy forbids Playwright's own waiting for an expression.
        for _ in range(WAIT_MS // 20):
            breaches, asking = self.tells("[window.breaches.splice(0), window.asking]")
            self.faults += breaches
            if not asking:
                return
            self.page.wait_for_timeout(20)
        raise AssertionError(f"no answer came to {self.page.url}")

    def tells(self, script: str) -> Any:
        """Ask the page; where another one is just following it, ask that one."""
        while True:
            try:
                return self.page.evaluate(script)
            except PlaywrightError as fault:
                if "context was destroyed" not in str(fault):
                    raise
                self.page.wait_for_load_state()

    def sign_in(self, name: str) -> None:
        self.context.clear_cookies()
        self.go("/sign-in/")
        self.page.fill("input[name=username]", name)
        self.page.fill("input[name=password]", PASSWORD)
        self.page.click("main button[type=submit], main button:not([type])")
        self.settle()

    def enter(self, person: Person) -> None:
        """Be signed in, without the way through the sign-in page."""
        client = Client()
        client.force_login(person)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        self.context.clear_cookies()
        self.context.add_cookies(
            [{"name": cookie.key, "value": cookie.value, "url": self.home}]
        )

    def press(self, name: str, *, exact: bool = True) -> None:
        """Press a button or a link by its words."""
        page = self.page
        found = page.get_by_role("button", name=name, exact=exact).or_(
            page.get_by_role("link", name=name, exact=exact)
        )
        self.touch(found)

    def touch(self, what: Locator | str) -> None:
        """Touch the first of what is named, late enough to be no second tap."""
        if self.scripts:
            self.page.wait_for_timeout(max(0, self.tells(DOUBLE_TAP_MS)))
        found = self.page.locator(what) if isinstance(what, str) else what
        one = found.locator("visible=true").first
        try:
            if self.fingers:
                one.tap()
            else:
                one.click()
        except PlaywrightTimeout as missing:
            said = self.page.inner_text("body")
            raise AssertionError(f"there is no {what} on:\n{said}") from missing
        self.settle()

    def scan(self, text: str) -> None:
        """Scan as a wedge does: fast keys wherever the focus is, Enter at the end.

        At least six of them; fewer are no scan, and nothing would be typed.
        """
        self.page.evaluate(SCAN, text)
        self.page.wait_for_timeout(60)
        self.settle()

    def wedge(self, text: str, *, gap_ms: int = SCANNER_MS) -> None:
        """Press real keys, which reach the field with the focus, and Enter.

        The page takes them for as far apart as ``gap_ms`` says.
        """
        self.page.evaluate("(gap) => { keyGap = gap; }", gap_ms)
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")
        self.tells("keyGap = 0")

    def shows(self, *texts: str) -> None:
        """Fail where the page does not say all these, now or within a few seconds."""
        for _ in range(WAIT_MS // 50):
            said = str(self.tells("document.body?.innerText ?? ''"))
            if not (missing := [text for text in texts if text not in said]):
                return
            self.page.wait_for_timeout(50)
        raise AssertionError(f"the page does not say {missing}:\n{said}")

    def stands(self, url: str, *, settled: str = "") -> list[str]:
        """Open a page, and say what is wrong with it at both sizes of a desk."""
        self.go(url)
        if settled:
            self.page.wait_for_selector(settled, timeout=120_000)
        found: list[str] = []
        for size in SIZES:
            self.resize(size)
            found += [f"{url} {size}: {one}" for one in measures.overflow(self.page)]
        self.resize(SIZES[0])
        found += measures.lost_by_spacing(self.page)
        return [*found, *self.axe(), *measures.faint_edges(self.page)]

    def resize(self, size: str) -> None:
        """Be a tablet of another size, such as 800x1280."""
        wide, high = (int(side) for side in size.split("x"))
        self.page.set_viewport_size({"width": wide, "height": high})
        self.page.wait_for_timeout(60)

    def picture(self, name: str, *, size: str = "1280x800", full: bool = False) -> None:
        """Be of a size, and take a picture where PICTURES asks for them."""
        self.resize(size)
        if WANTED:
            self.shoot(name, size=size, full=full)

    def shoot(self, name: str, *, size: str = "1280x800", full: bool = False) -> Path:
        self.resize(size)
        PICTURES.mkdir(exist_ok=True)
        path = PICTURES / f"{name}-{size}.png"
        # Hiding the caret would put a style on the page that its policy forbids.
        self.page.screenshot(path=path, full_page=full, caret="initial")
        return path

    def axe(
        self, *, enhanced_contrast: bool = False, colours_only: bool = False
    ) -> list[str]:
        """Give the serious and critical findings of axe-core on this page.

        ``colours_only`` asks nothing else again of a page that only changed colours.
        """
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE.read_text(encoding="utf-8"))
        found = self.page.evaluate(
            """async ([enhanced, colours]) => (await axe.run(document, {
              runOnly: colours ? {type: "rule", values: colours} : {type: "tag", values:
                ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
              rules: {"color-contrast-enhanced": {enabled: enhanced}},
              resultTypes: ["violations"],
            })).violations""",
            [
                enhanced_contrast,
                [*COLOURS, *["color-contrast-enhanced"] * enhanced_contrast]
                if colours_only
                else None,
            ],
        )
        return [
            f"{one['id']}: {node['target']} {node['failureSummary']}"
            for one in found
            if one["impact"] in ("serious", "critical")
            for node in one["nodes"]
        ]


@dataclass
class Shelf:
    """Contexts that lie ready for the next test, with the shop's files in their caches.

    Whatever else a test left in one is gone: its pages, cookies, stores and routes.
    """

    browser: Browser
    ready: dict[tuple[bool, ...], list[BrowserContext]] = field(default_factory=dict)

    def take(self, key: tuple[bool, ...]) -> BrowserContext:
        lying = self.ready.setdefault(key, [])
        return lying.pop() if lying else fresh(self.browser, *key)

    def lay_back(self, key: tuple[bool, ...], used: Tablet) -> None:
        """Forget what was done, and leave one empty page open for the next."""
        context = used.context
        context.unroute_all()
        for page in context.pages:
            page.close()
        context.clear_cookies()
        context.set_offline(False)
        stores = context.new_cdp_session(context.new_page())
        whole = {"origin": used.home, "storageTypes": "all"}
        stores.send("Storage.clearDataForOrigin", whole)
        stores.detach()
        self.ready[key].append(context)


def fresh(browser: Browser, scripts: bool, dark: bool, touch: bool) -> BrowserContext:
    context = browser.new_context(
        viewport={"width": 1280, "height": 800},
        java_script_enabled=scripts,
        color_scheme="dark" if dark else "light",
        reduced_motion="reduce",
        has_touch=touch,
        # A worker sends past what a test holds up, and fetches all its files for
        # each tablet; the tablets in ``alone`` have it.
        service_workers="block",
    )
    context.set_default_timeout(WAIT_MS)
    context.add_init_script(LISTEN)
    return context


@pytest.fixture(scope="session")
def shelf(chromium: Browser) -> Shelf:
    return Shelf(chromium)


@contextmanager
def lent(shelf: Shelf, server: LiveServer) -> Iterator[Callable[..., Tablet]]:
    """Lend tablets; at the end none may have broken the policy or left the host."""
    made: list[tuple[Tablet, tuple[bool, ...]]] = []

    def another(
        *,
        scripts: bool = True,
        dark: bool = False,
        touch: bool = False,
        fingers: bool = False,
        browser: Browser | None = None,
        home: str = "",
    ) -> Tablet:
        key = (scripts, dark, touch or fingers)
        context = fresh(browser, *key) if browser else shelf.take(key)
        page = context.pages[0] if context.pages else context.new_page()
        one = Tablet(context, page, home or str(server), scripts, fingers)
        one.is_spent = browser is not None
        _watch(one)
        made.append((one, key))
        return one

    yield another
    for one, key in made:
        if one.is_spent:
            one.context.close()
        else:
            shelf.lay_back(key, one)
    assert [fault for one, _ in made for fault in one.faults] == []


@pytest.fixture
def tablet(shelf: Shelf, server: LiveServer) -> Iterator[Callable[..., Tablet]]:
    """Give tablets for one test."""
    with lent(shelf, server) as another:
        yield another


def of_a_scan(url: str) -> bool:
    """Tell what a scan asks from what the page asks by itself."""
    return "scanned=1" in url


def _watch(tablet: Tablet) -> None:
    host = urlsplit(tablet.home).netloc

    def asked(url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in ("http", "https") and parts.netloc != host:
            tablet.faults.append(f"asked another host: {url}")

    def told(line: ConsoleMessage) -> None:
        # The browser tells a breach of the policy even when the page is gone by then.
        if "Content Security Policy" in line.text:
            tablet.faults.append(line.text)

    page = tablet.page
    page.on("console", told)
    page.on("request", lambda request: asked(request.url))
    page.on("pageerror", lambda error: tablet.faults.append(f"script: {error}"))
    page.on(
        "response",
        lambda answer: (
            tablet.faults.append(f"{answer.status} {answer.url}")
            if answer.status >= 500
            else None
        ),
    )


@pytest.fixture
def shop(transactional_db: None) -> make.Shop:
    return make.shop()


@pytest.fixture(scope="module")
def floor(db: None) -> Iterator[Halfway]:
    """Give a shop in the middle of its work, shared by a module's tests."""
    with halfway.working() as made:
        yield made


@pytest.fixture
def joiner(floor: Halfway, tablet: Callable[..., Tablet]) -> Tablet:
    """Give a tablet that the joiner is signed in at."""
    one: Tablet = tablet()
    one.enter(floor.shop.cast.joiner)
    return one
