"""What does it cost that screens ask by themselves while nobody works?

A hundred tablets with somebody signed in have their station's page open. Each asks
every ten seconds whether anything is new, and every fifteen what is due, as its
scripts do; five boards ask every five. Each says what it has seen, and mostly hears
that nothing is new.
"""

import logging
import re
import threading
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from tests.bench.ground import asked_for, database, say
from tests.bench.table import row
from tests.serving import Answer, Server, Visitor, serving

if TYPE_CHECKING:
    from django.test import Client

TABLETS, STATION_EVERY_S, DUE_EVERY_S = 100, 10, 15
BOARDS, BOARD_EVERY_S = 5, 5
AIM = 10
SEEN = re.compile(rb'hx-get="[^"]*\?seen=([^"]+)"')
EVERY = re.compile(rb'hx-trigger="every (\d+)s')
BY_ITSELF = {"X-Shop-By-Itself": "1"}
NOTHING_NEW = (204, 304)


@dataclass
class Asker:
    """What a page asks by itself, again and again."""

    visitor: Visitor
    path: str
    every_s: int
    asked: int = 0
    drawn: int = 0

    def open(self) -> None:
        """Hear it for the first time."""
        self.hear(self.visitor.ask("GET", self.path))

    def ask(self) -> None:
        answer = self.again()
        self.asked += 1
        if answer.status == 200:
            self.drawn += 1
            self.hear(answer)
        elif answer.status not in NOTHING_NEW:
            raise RuntimeError(f"{self.path} answered {answer.status}")

    def again(self) -> Answer:
        raise NotImplementedError

    def hear(self, answer: Answer) -> None:
        raise NotImplementedError

    def keep_asking(self, first: float, over: threading.Event) -> None:
        due = first
        while not over.wait(max(0.0, due - time.perf_counter())):
            self.ask()
            due += self.every_s


@dataclass
class Screen(Asker):
    """A page that draws itself anew, if there is anything new."""

    target: str = ""
    seen: str = ""

    def again(self) -> Answer:
        piece = {"HX-Request": "true", "HX-Target": self.target, **BY_ITSELF}
        return self.visitor.ask("GET", f"{self.path}?seen={self.seen}", headers=piece)

    def hear(self, answer: Answer) -> None:
        seen, every = SEEN.search(answer.body), EVERY.search(answer.body)
        if seen is None or every is None or int(every[1]) != self.every_s:
            raise RuntimeError(f"{self.path} does not ask every {self.every_s} s")
        self.seen = seen[1].decode().replace("&amp;", "&")


@dataclass
class Due(Asker):
    """What a tablet takes along for the time without network, told if it changed."""

    known: dict[str, str] = field(default_factory=dict)

    def again(self) -> Answer:
        return self.visitor.ask("GET", self.path, headers={**self.known, **BY_ITSELF})

    def hear(self, answer: Answer) -> None:
        self.known = {"If-None-Match": answer.headers["ETag"]}


def main() -> None:
    asked = asked_for(__doc__)
    with database() as environment:
        tablets, lead = _fill()
        with serving("shopfloor.wsgi:application", environment, **asked.how) as server:
            askers = _askers(server, tablets, lead)
            for one in askers:
                one.open()
            used = _watch(server, askers, asked.seconds)
    polls, drawn = (sum(one.asked for one in askers), sum(a.drawn for a in askers))
    say(f"{TABLETS} stations and {BOARDS} boards, {asked.told}: {polls} questions, ")
    say(f"{drawn} of them drawn anew")
    what = f"{TABLETS} stations and {BOARDS} boards that ask by themselves"
    row(what, used, "% of one core", at_most=AIM)


Cookies = dict[str, str]


def _fill() -> tuple[list[tuple[str, Cookies]], Cookies]:
    """Fill the floor; give each tablet's station and cookies, and the lead's own."""
    from django.test import Client

    from tests import make
    from tests.cast import STATIONS as PLACES
    from tests.shop.bench import Bench, give
    from travelers.shop.actions import Enrolled, enrol_tablet, invite_tablet

    # A hundred lines that a tablet was let in are of no use here.
    logging.disable()
    shop = make.shop()
    for instrument in shop.instruments(40):
        for branch, until in (("BODY", "Machine"), ("NECK", "Fret")):
            if instrument.position % 2:
                shop.work(shop.part(instrument, branch), until=until)
    client = Client()
    client.force_login(shop.cast.lead)
    badge, now = give(shop, "lead")["lead"], datetime.now(UTC)  # noqa: TID251 - a real day
    tablets = []
    for number in range(TABLETS):
        station = shop.cast.stations[list(PLACES)[number % len(PLACES)]]
        invited = invite_tablet(station=station, by=shop.cast.lead, at=now)
        enrolled = enrol_tablet(code=invited.code, at=now)
        assert isinstance(enrolled, Enrolled)
        bench = Bench(shop, enrolled.token, Client(headers={"host": "127.0.0.1"}))
        bench.client.post("/sign-in/", {"badge": badge})
        tablets.append((station.code, _cookies(bench.client)))
    return tablets, _cookies(client)


def _cookies(client: "Client") -> Cookies:
    return {name: crumb.value for name, crumb in client.cookies.items()}


def _askers(
    server: Server, tablets: Sequence[tuple[str, Cookies]], lead: Cookies
) -> list[Asker]:
    """Give all that ask, each kind in the order of its tablets."""
    screens: list[Asker] = []
    dues: list[Asker] = []
    for station, cookies in tablets:
        visitor, path = Visitor(server.port, dict(cookies)), f"/station/{station}/"
        screens.append(Screen(visitor, path, STATION_EVERY_S, target="scene"))
        dues.append(Due(visitor, f"{path}due.json", DUE_EVERY_S))
    boards = [
        Screen(
            Visitor(server.port, dict(lead)), "/board/", BOARD_EVERY_S, target="board"
        )
        for _ in range(BOARDS)
    ]
    return [*screens, *dues, *boards]


def _watch(server: Server, askers: Sequence[Asker], seconds: float) -> float:
    """Let all ask, spread over their time; give the share of one core."""
    over = threading.Event()
    before, began = server.processor_ms(), time.perf_counter()
    with ThreadPoolExecutor(len(askers)) as pool:
        made = [
            pool.submit(
                one.keep_asking, began + one.every_s * number / len(askers), over
            )
            for number, one in enumerate(askers)
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
