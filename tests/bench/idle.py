"""What does it cost that screens ask by themselves while nobody works?

A hundred station pages ask every ten seconds and five boards every five, as the pages
themselves say; each sends what it has seen, and mostly hears that nothing is new.
"""

import re
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

from tests.bench.ground import asked_for, database, say
from tests.serving import Server, Visitor, serving

STATIONS, STATION_EVERY_S = 100, 10
BOARDS, BOARD_EVERY_S = 5, 5
AIM = 10
SEEN = re.compile(rb'hx-get="[^"]*\?seen=([^"]+)"')
EVERY = re.compile(rb'hx-trigger="every (\d+)s"')


@dataclass
class Screen:
    """A screen that asks by itself whether anything is new."""

    visitor: Visitor
    path: str
    target: str
    every_s: int
    seen: str = ""
    asked: int = 0
    drawn: int = 0

    def open(self) -> None:
        body = self.visitor.ask("GET", self.path).body
        every = EVERY.search(body)
        if every is None or int(every[1]) != self.every_s:
            raise RuntimeError(f"{self.path} does not ask every {self.every_s} s")
        self._note(body)

    def ask(self) -> None:
        answer = self.visitor.ask(
            "GET",
            f"{self.path}?seen={self.seen}",
            headers={"HX-Request": "true", "HX-Target": self.target},
        )
        self.asked += 1
        if answer.status == 200:
            self.drawn += 1
            self._note(answer.body)
        elif answer.status != 204:
            raise RuntimeError(f"{self.path} answered {answer.status}")

    def _note(self, body: bytes) -> None:
        seen = SEEN.search(body)
        if seen is None:
            raise RuntimeError(f"{self.path} does not say what it has seen")
        self.seen = seen[1].decode()

    def keep_asking(self, first: float, over: threading.Event) -> None:
        due = first
        while not over.wait(max(0.0, due - time.perf_counter())):
            self.ask()
            due += self.every_s


def main() -> None:
    asked = asked_for(__doc__)
    with database() as environment:
        session = _fill()
        with serving("shopfloor.wsgi:application", environment, **asked.how) as server:
            screens = _screens(server, session)
            for screen in screens:
                screen.open()
            used = _watch(server, screens, asked.seconds)
    polls, drawn = (sum(one.asked for one in screens), sum(s.drawn for s in screens))
    say(f"{STATIONS} stations and {BOARDS} boards, {asked.told}: {polls} questions, ")
    say(f"{drawn} of them drawn anew; {used:.1f} % of one core (aim: under {AIM} %)")


def _fill() -> str:
    """Fill the floor, and give the session of somebody who may see all of it."""
    from django.test import Client

    from tests import make

    shop = make.shop()
    for instrument in shop.instruments(40):
        for branch, until in (("BODY", "Machine"), ("NECK", "Fret")):
            if instrument.position % 2:
                shop.work(shop.part(instrument, branch), until=until)
    client = Client()
    client.force_login(shop.cast.lead)
    return client.cookies["sessionid"].value


def _screens(server: Server, session: str) -> list[Screen]:
    from tests.cast import STATIONS as PLACES

    places = list(PLACES)
    screens = [
        Screen(
            server.visitor(),
            f"/station/{places[number % len(places)]}/",
            "scene",
            STATION_EVERY_S,
        )
        for number in range(STATIONS)
    ]
    screens += [
        Screen(server.visitor(), "/board/", "board", BOARD_EVERY_S)
        for _ in range(BOARDS)
    ]
    for screen in screens:
        screen.visitor.cookies["sessionid"] = session
    return screens


def _watch(server: Server, screens: list[Screen], seconds: float) -> float:
    """Let all screens ask, spread over their time; give the share of one core."""
    over = threading.Event()
    before, began = server.processor_ms(), time.perf_counter()
    with ThreadPoolExecutor(len(screens)) as pool:
        made = [
            pool.submit(
                screen.keep_asking,
                began + screen.every_s * number / len(screens),
                over,
            )
            for number, screen in enumerate(screens)
        ]
        over.wait(seconds)
        used = server.processor_ms() - before
        took = time.perf_counter() - began
        over.set()
        for one in made:
            one.result()
    return used / took / 10


if __name__ == "__main__":
    main()
