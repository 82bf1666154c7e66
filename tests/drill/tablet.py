"""How does a tablet of the drill press: the same event until it has an answer?"""

import threading
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from uuid import UUID, uuid4

from tests.cast import PASSWORD
from tests.serving import PIECE, Answer, Server, Visitor
from travelers.floor.rules import Wish
from travelers.orders.models import Step

# An answer says whether it is in the ledger, accepted or refused; any other keeps
# the event in the tablet.
ACCEPTED = 200
REFUSED = (403, 404, 409, 422)
# A tablet that has no answer tries again after this.
PAUSE_S = 0.05


@dataclass(frozen=True)
class Press:
    """A press of a button, with the id that the tablet made for it."""

    wish: Wish
    station: str
    code: str
    step: int
    more: Mapping[str, str] = field(default_factory=dict)
    event_id: UUID = field(default_factory=uuid4)

    def fields(self) -> dict[str, str]:
        named = {"event_id": str(self.event_id), "wish": str(self.wish)}
        return {**named, "code": self.code, "step": str(self.step), **self.more}


@dataclass
class Tablet:
    """A tablet with presses to send; it remembers what was acknowledged."""

    visitor: Visitor
    presses: Iterator[Press]
    headers: Mapping[str, str] = field(default_factory=lambda: PIECE)
    think_s: float = 0
    acknowledged: dict[UUID, bool] = field(default_factory=dict)
    latencies: list[float] = field(default_factory=list)
    unanswered: Counter[str] = field(default_factory=Counter)

    def sign_in(self, name: str = "joiner") -> "Tablet":
        self.visitor.sign_in(name, PASSWORD)
        return self

    def send(self, press: Press) -> Answer:
        path = f"/station/{press.station}/wish/"
        return self.visitor.ask("POST", path, press.fields(), self.headers)

    def try_once(self, press: Press) -> bool:
        """Send a press and keep what was said; false where it has to be repeated."""
        started = time.perf_counter()
        try:
            answer = self.send(press)
        except OSError as fault:
            self.unanswered[type(fault).__name__] += 1
            return False
        if answer.status in (ACCEPTED, *REFUSED):
            self.latencies.append((time.perf_counter() - started) * 1000)
            self.acknowledged[press.event_id] = answer.status == ACCEPTED
            return True
        self.unanswered[str(answer.status)] += 1
        return False

    def insist(self, press: Press, *, patience_s: float = 120) -> None:
        """Send a press until it has an answer."""
        deadline = time.perf_counter() + patience_s
        while not self.try_once(press):
            if time.perf_counter() > deadline:
                raise TimeoutError(f"no answer to {press}: {self.unanswered}")
            time.sleep(PAUSE_S)

    def work(self, stop: threading.Event) -> None:
        """Press until told to stop; the last press gets its answer too."""
        for press in self.presses:
            if stop.wait(self.think_s) if self.think_s else stop.is_set():
                return
            self.insist(press)


def tablets(
    server: Server, number: int, *, limit: int | None = None, name: str = "joiner"
) -> list[Tablet]:
    """Sign tablets in, and give each its share of the steps that are ready.

    The parts of one instrument go to different tablets, which then meet at its lock.
    """
    steps = list(
        Step.objects.filter(state="READY", station__attended=True)
        .select_related("station", "part")
        .order_by("pk")
    )
    return [
        Tablet(server.visitor(), presses_for(steps[one::number], limit)).sign_in(name)
        for one in range(number)
    ]


def presses_for(steps: Sequence[Step], limit: int | None = None) -> Iterator[Press]:
    """Start and finish each step, then hold its parts over and over."""
    for made, press in enumerate(_endless(steps)):
        if limit is not None and made >= limit:
            return
        yield press


def _endless(steps: Sequence[Step]) -> Iterator[Press]:
    for step in steps:
        yield press_of(step, Wish.START)
        yield press_of(step, Wish.FINISH)
    for turn in count():
        step = steps[turn % len(steps)]
        yield press_of(step, Wish.HOLD, reason=f"drill {turn}", only_part="on")


def press_of(step: Step, wish: Wish, **more: str) -> Press:
    assert step.station
    return Press(wish, step.station.code, step.part.code, step.pk, more)


@contextmanager
def at_work(tablets: Sequence[Tablet]) -> Iterator[threading.Event]:
    """Let tablets press at once while the block runs, and until each is answered."""
    stop = threading.Event()
    with ThreadPoolExecutor(len(tablets)) as pool:
        working = [pool.submit(tablet.work, stop) for tablet in tablets]
        try:
            yield stop
        finally:
            stop.set()
        for one in working:
            one.result()


def work_off(tablets: Sequence[Tablet]) -> None:
    """Let tablets press at once until none of them has a press left."""
    never = threading.Event()
    with ThreadPoolExecutor(len(tablets)) as pool:
        for one in [pool.submit(tablet.work, never) for tablet in tablets]:
            one.result()


def percentile(tablets: Sequence[Tablet], share: float) -> float:
    ordered = sorted(ms for tablet in tablets for ms in tablet.latencies)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]
