"""Who does something next?  Simulated time, moved on by those who wait in it."""

import heapq
from collections.abc import Generator
from datetime import datetime

# A process yields the moment until which it waits, or None to sleep until it is woken.
Process = Generator[datetime | None, None, None]


class Agenda:
    """All who wait, by the moment; of two at one moment, who came first goes first."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self._waiting: list[tuple[datetime, int, Process]] = []
        self._asleep: set[Process] = set()
        self._count = 0

    def start(self, process: Process, at: datetime) -> None:
        self._count += 1
        heapq.heappush(self._waiting, (at, self._count, process))

    def wake(self, process: Process) -> None:
        """Let a sleeping process go on now; others go on when they meant to."""
        if process in self._asleep:
            self._asleep.remove(process)
            self.start(process, self.now)

    def run(self, until: datetime) -> None:
        while self._waiting and self._waiting[0][0] <= until:
            self.now, _, process = heapq.heappop(self._waiting)
            self._go_on(process)
        self.now = until

    def _go_on(self, process: Process) -> None:
        try:
            wanted = next(process)
        except StopIteration:
            return
        if wanted is None:
            self._asleep.add(process)
        else:
            self.start(process, max(wanted, self.now))
