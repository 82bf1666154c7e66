"""How is a tablet left alone by the shop, killed, and found again?"""

import os
import re
import signal
import socket
import subprocess
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urlsplit

import time_machine
from django.conf import settings
from django.core.servers.basehttp import ThreadedWSGIServer
from django.test import Client
from django.test.testcases import LiveServerThread, QuietWSGIRequestHandler
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    Playwright,
    ViewportSize,
)
from playwright.sync_api import Error as PlaywrightError

from tests import make
from tests.browser.conftest import ARGUMENTS, LISTEN, WAIT_MS, LeaveFiles
from tests.browser.program import browser_program
from travelers.orders.models import Part, Step
from travelers.routes.actions import release_revision
from travelers.routes.models import (
    Characteristic,
    DefectBranch,
    DefectKind,
    Operation,
)
from travelers.shop.models import Person

SIZE: ViewportSize = {"width": 1280, "height": 800}
CALM: Literal["reduce"] = "reduce"
# The tablet's clock goes with the shop's, which is not the machine's.
SHIFTED = """(() => {
  const Real = Date, by = %d;
  const now = () => Real.now() + by;
  globalThis.Date = new Proxy(Real, {
    construct: (made, given) => new made(...(given.length ? given : [now()])),
    get: (made, name) => name === "now" ? now : Reflect.get(made, name),
  });
})();"""


class _Server(ThreadedWSGIServer):
    """Knows who is connected, to hang up on all of them."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.open: list[socket.socket] = []
        # What stands before the shop and answers for it.
        self.gateway: Callable[..., list[bytes]] | None = None

    def get_app(self) -> Any:
        return self.gateway or super().get_app()

    def get_request(self) -> Any:
        made, address = super().get_request()
        self.open.append(made)
        return made, address

    def hang_up(self) -> None:
        for one in self.open:
            try:
                one.shutdown(socket.SHUT_RDWR)
            except OSError:
                continue


class _Thread(LiveServerThread):
    def _create_server(self, connections_override: Any = None) -> Any:
        return _Server(
            (self.host, self.port),
            QuietWSGIRequestHandler,
            allow_reuse_address=True,
            connections_override=connections_override,
        )


@dataclass
class Shop:
    """The shop's server, which can be stopped and started at one address."""

    host: str = "localhost"
    port: int = 0
    thread: Any = None

    def start(self) -> "Shop":
        self.thread = _Thread(self.host, LeaveFiles, {}, self.port)
        self.thread.daemon = True
        self.thread.start()
        self.thread.is_ready.wait()
        if self.thread.error:
            raise self.thread.error
        self.port = self.thread.port
        return self

    def stop(self) -> None:
        if self.thread is not None:
            self.thread.httpd.hang_up()
            self.thread.terminate()
            self.thread = None

    def hide(self, status: str) -> None:
        """Let a gateway answer everything that is asked, as one that finds no shop."""

        def gateway(environ: object, start: Callable[..., object]) -> list[bytes]:
            start(status, [("Content-Type", "text/plain")])
            return [b"no"]

        self.thread.httpd.gateway = gateway

    def show(self) -> None:
        self.thread.httpd.gateway = None

    @property
    def url(self) -> str:
        return f"http://{self.host}:{self.port}"


@dataclass
class Alone:
    """A tablet; with a disk of its own, what it keeps outlives its browser."""

    playwright: Playwright
    home: str
    # Without a disk it is a context of this browser, which costs much less.
    browser: Browser
    disk: Path | None = None
    program: str = field(default_factory=lambda: browser_program() or "")
    more: tuple[str, ...] = ()
    shift_ms: int = 0
    behind_ms: int = 0
    context: BrowserContext | None = None
    process: subprocess.Popen[bytes] | None = None
    faults: list[str] = field(default_factory=list)

    def open(self) -> Page:
        if self.disk is None:
            self.context = self.browser.new_context(viewport=SIZE, reduced_motion=CALM)
        else:
            self.context = self.playwright.chromium.launch_persistent_context(
                self.disk,
                executable_path=self.program,
                args=[*ARGUMENTS, *self.more],
                viewport=SIZE,
                reduced_motion=CALM,
            )
        return self._page(self.context)

    def open_apart(self) -> Page:
        """Start the browser as a process of its own, so that it can be killed."""
        assert self.disk
        port_file = self.disk / "DevToolsActivePort"
        port_file.unlink(missing_ok=True)
        self.process = subprocess.Popen(
            [
                self.program, "--headless=new", "--remote-debugging-port=0",
                f"--user-data-dir={self.disk}", *ARGUMENTS, *self.more, "about:blank",
            ],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )  # fmt: skip
        for _ in range(200):
            if port_file.exists() and port_file.read_text().count("\n"):
                break
            _pause()
        port = port_file.read_text().splitlines()[0]
        browser = self.playwright.chromium.connect_over_cdp(f"http://localhost:{port}")
        self.context = browser.contexts[0]
        return self._page(self.context)

    def kill(self) -> None:
        """Take the power away: no page is asked, nothing is written any more."""
        assert self.process
        assert self.disk
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()
        self.process = None
        # What a dead browser leaves behind that says it were alive.
        for left in ("SingletonLock", "SingletonCookie", "SingletonSocket"):
            (self.disk / left).unlink(missing_ok=True)

    def close(self) -> None:
        if self.process is not None:
            self.kill()
        elif self.context is not None:
            self.context.close()
        self.context = None

    def _page(self, context: BrowserContext) -> Page:
        context.set_default_timeout(WAIT_MS)
        context.add_init_script(SHIFTED % (self.shift_ms - self.behind_ms))
        context.add_init_script(LISTEN)
        page = context.new_page()
        watch(page, self.home, self.faults)
        return page

    def enter(self, person: Person) -> None:
        """Be signed in, without the way through the sign-in page."""
        client = Client()
        client.force_login(person)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        assert self.context
        # With an end in the future it outlives the browser, as the shop's own does.
        later = time_machine.escape_hatch.time.time() + 36_000
        self.context.add_cookies(
            [
                {
                    "name": cookie.key,
                    "value": cookie.value,
                    "url": self.home,
                    "expires": later,
                }
            ]
        )


def _pause() -> None:
    subprocess.run(["sleep", "0.05"], check=True)


def watch(page: Page, home: str, faults: list[str]) -> None:
    host = urlsplit(home).netloc

    def asked(url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in ("http", "https") and parts.netloc != host:
            faults.append(f"asked another host: {url}")

    page.on("request", lambda request: asked(request.url))
    page.on("pageerror", lambda error: faults.append(f"script: {error}"))
    page.on(
        "console",
        lambda line: (
            faults.append(line.text) if "Content Security Policy" in line.text else None
        ),
    )


def until(page: Page, asks: Callable[[], bool], *, seconds: float = 12) -> None:
    """Wait until something is so; the policy forbids Playwright's own waiting."""
    for _ in range(round(seconds * 20)):
        try:
            if asks():
                return
        except PlaywrightError as fault:
            # Between two pages there is nothing to be asked.
            if not re.search("context was destroyed|is not defined", str(fault)):
                raise
        page.wait_for_timeout(50)
    raise AssertionError(f"it never came so:\n{page.inner_text('body')}")


def waiting(page: Page) -> int:
    return int(page.evaluate("shopStore.waiting().then((told) => told.count)"))


def sent(page: Page) -> None:
    """Have the browser say that the network is back, and wait until all is sent."""
    page.evaluate("window.dispatchEvent(new Event('online'))")
    until(page, lambda: waiting(page) == 0, seconds=30)


@dataclass
class World:
    """Ten parts at the saw with fifteen steps: five bodies sawn twice, five necks."""

    shop: make.Shop
    bodies: list[Part]
    necks: list[Part]
    clock: time_machine.Traveller
    # How far the tests' clock is from the machine's.
    shift_ms: int = 0

    def tell_the_time(self) -> None:
        """Set the server's clock, and the tablets' to come, to the shop's."""
        real = time_machine.escape_hatch.time.time()
        self.clock.move_to(self.shop.now, tick=True)
        self.shift_ms = round((self.shop.now.timestamp() - real) * 1000)

    def another(self, branch: str = "BODY") -> Part:
        """Release one instrument more, and give a part of it."""
        return self.shop.part(self.shop.instrument(), branch)

    @property
    def steps(self) -> list[Step]:
        found = Step.objects.filter(
            part__in=[*self.bodies, *self.necks],
            operation__name__in=("Saw", "Rough"),
        )
        return list(found.order_by("id"))


def at_the_saw(shop: make.Shop, clock: time_machine.Traveller, count: int = 5) -> World:
    """Release instruments of a route with checks at the saw, and a kind of defect."""
    revision = make.draft(shop.model, shop.cast, "B")
    saw = Operation.objects.get(revision=revision, branch="BODY", number=10)
    saw.times = 2
    saw.save(update_fields=["times"])
    Characteristic.objects.create(
        operation=saw, code="THICK", name="Thickness", kind="MEASURED", unit="mm",
        nominal=Decimal(45), lower=Decimal("44.5"), upper=Decimal("45.5"),
        gauge_kind="caliper", decimals=1,
    )  # fmt: skip
    rough = Operation.objects.get(revision=revision, branch="NECK", number=10)
    Characteristic.objects.create(
        operation=rough, code="GRAIN", name="Straight grain", kind="JUDGED"
    )
    release_revision(revision_id=revision.pk, by=shop.cast.engineer, at=shop.now)
    for branch in ("BODY", "NECK"):
        kind = DefectKind.objects.create(
            code=f"KNOT_{branch}", name="knot", origins="wood", usual="REWORK"
        )
        kind.stages.add(shop.cast.stations["SAW"].stage)
        DefectBranch.objects.create(kind=kind, branch=branch)
    made = shop.instruments(count)
    return World(
        shop,
        [shop.part(one) for one in made],
        [shop.part(one, "NECK") for one in made],
        clock,
    )
