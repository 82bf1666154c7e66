"""How many orders are late by which rule of the lists?  Drawn shops and the demo's.

Drawn: shops of six stations with one or two places, lived through with the stations'
own rule (``floor/rules/queue.py``). Two models share them: one with long dwells, one
that is nearly straight work; due dates are drawn with less and more to spare. The same
times are lived through by due date alone, as the lists stood before, and in the order
of coming.

The demo: its floor as it stands, lived through 200 times by the forecast's kernel, with
the due date first (as the forecast takes it) and with the least slack first.
"""

import heapq
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from functools import partial
from random import Random
from statistics import mean
from typing import Any

from tests.bench.ground import database, say
from tests.bench.table import row, tried

HOUR, DAY = 1.0, 24.0
BEGIN = datetime(2026, 1, 5, tzinfo=UTC)
# Station and mean hours of work, then hours that the part lies before it goes on.
SLOW = ((0, 6, 0), (1, 5, 240), (2, 8, 0), (3, 4, 480), (4, 6, 0), (5, 5, 0))
QUICK = ((0, 4, 0), (2, 6, 0), (1, 4, 0), (4, 5, 24), (3, 4, 0), (5, 5, 0))
PLACES = (1, 1, 2, 1, 1, 1)
SPARE = (4, 8, 16)


@dataclass
class Order:
    """A job of a drawn shop: its way, its own times, and when it is due."""

    key: int
    way: tuple[tuple[int, int, int], ...]
    work: list[float]
    comes: float
    due: float
    at: int = 0
    ready: float = 0.0
    done: float = 0.0

    def behind(self) -> float:
        """Give what the route plans behind the step at hand."""
        rest = self.way[self.at + 1 :]
        return self.way[self.at][2] + sum(work + lies for _, work, lies in rest)


Rule = Callable[[list[Order], float], Order]


def by_due(some: list[Order], clock: float) -> Order:
    return min(some, key=lambda one: (one.due // DAY, one.ready, one.key))


def by_coming(some: list[Order], clock: float) -> Order:
    return min(some, key=lambda one: (one.ready, one.key))


def by_list(some: list[Order], clock: float) -> Order:
    """Take what stands at the head of a station's list."""
    from travelers.floor.rules.queue import Waiting, line_up

    at = BEGIN + timedelta(hours=clock)
    placed = line_up(
        [
            Waiting(
                one.key,
                (BEGIN + timedelta(hours=one.due - one.behind())).date(),
                BEGIN + timedelta(hours=one.ready),
            )
            for one in some
        ],
        at=at,
        today=at.date(),
    )
    return next(one for one in some if one.key == placed[0].key)


@dataclass
class Shop:
    """A shop that is lived through, event by event."""

    rule: Rule
    free: list[int] = field(default_factory=lambda: list(PLACES))
    waits: list[list[Order]] = field(default_factory=lambda: [[] for _ in PLACES])
    events: list[tuple[float, int, str, Order]] = field(default_factory=list)
    count: int = 0

    def live(self, orders: list[Order]) -> list[Order]:
        for one in orders:
            self.tell(one.comes, "ready", one)
        while self.events:
            clock, _, what, one = heapq.heappop(self.events)
            station, _, lies = one.way[one.at]
            if what == "ready":
                one.ready = clock
                self.waits[station].append(one)
            else:
                self.free[station] += 1
                one.done = clock + lies
                if one.at + 1 < len(one.way):
                    one.at += 1
                    self.tell(one.done, "ready", one)
            self.serve(station, clock)
        return orders

    def serve(self, station: int, clock: float) -> None:
        while self.free[station] and self.waits[station]:
            one = self.rule(self.waits[station], clock)
            self.waits[station].remove(one)
            self.free[station] -= 1
            self.tell(clock + one.work[one.at], "done", one)

    def tell(self, at: float, what: str, one: Order) -> None:
        self.count += 1
        heapq.heappush(self.events, (at, self.count, what, one))


def drawn(seed: int, count: int, spare: int) -> list[Order]:
    """Draw a shop's orders: half of each model; the busiest station to nine tenths.

    Each is promised with up to ``spare`` days beside what its route plans.
    """
    chance, clock, made = Random(seed), 0.0, []
    for key in range(count):
        clock += chance.expovariate(1 / 6.1)
        way = SLOW if chance.random() < 0.5 else QUICK
        plan = sum(work + lies for _, work, lies in way)
        due = clock + plan + chance.uniform(0, spare) * DAY
        work = [chance.gammavariate(4, mean_h / 4) for _, mean_h, _ in way]
        made.append(Order(key, way, work, clock, due))
    return made


def main() -> None:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--shops", type=int, default=40)
    parser.add_argument("--orders", type=int, default=200)
    parser.add_argument("--instruments", type=int, default=60)
    given = parser.parse_args()
    for spare in SPARE:
        tried("drawn shops", partial(_drawn, given.shops, given.orders, spare))
    tried("the demo's floor", partial(_demo, given.instruments))


def _drawn(shops: int, count: int, spare: int) -> None:
    rules: dict[str, Rule] = {
        "in the order of coming": by_coming,
        "by due date": by_due,
        "as the lists stand": by_list,
    }
    found: dict[str, list[tuple[float, float, float]]] = {name: [] for name in rules}
    for seed in range(shops):
        for name, rule in rules.items():
            lived = Shop(rule).live(drawn(seed, count, spare))
            over = [max(0.0, one.done - one.due) / DAY for one in lived]
            late = sum(days > 0 for days in over) / count
            found[name].append((late, mean(over), max(over)))
    say(f"{shops} drawn shops of {count} orders, up to {spare} days to spare:")
    for name, told in found.items():
        late, over, worst = (mean(column) for column in zip(*told, strict=True))
        say(f"  {name}: {late:.1%} late, {over:.2f} days late each, worst {worst:.1f}")
    pairs = list(zip(found["as the lists stand"], found["by due date"], strict=True))
    for place, what in enumerate(("fewer late", "less lateness", "a better worst")):
        better = sum(ours[place] < theirs[place] for ours, theirs in pairs)
        worse = sum(ours[place] > theirs[place] for ours, theirs in pairs)
        say(f"  {what} than by due date in {better} shops, the contrary in {worse}")
    for name, told in found.items():
        late = 100 * mean(one[0] for one in told)
        row(f"orders late, up to {spare} days to spare, {name}", late, "%")


def _demo(instruments: int) -> None:
    with database():
        from zoneinfo import ZoneInfo

        from django.utils import timezone

        from travelers.demo.actions import load_demo
        from travelers.formulas import forecast as fc
        from travelers.planning.queries.forecast import floor_now

        end = datetime(2026, 5, 29, 14, tzinfo=UTC)
        load_demo(seed=1, instruments=instruments, now=end)
        zone = ZoneInfo(timezone.get_default_timezone_name())
        line = floor_now(at=end, zone=zone).line
        say(f"the demo's floor, {len(line.instruments)} instruments on it:")
        for name, one in (
            ("the due date first", line),
            ("the least slack first", _by_slack(line)),
        ):
            late, over = _lateness(one, fc.simulate(one, 1, 200))
            say(f"  {name}: {over:.2f} days late each")
            row(f"instruments late on the demo's floor, {name}", 100 * late, "%")


def _by_slack(line: Any) -> Any:
    from travelers.formulas import forecast as fc

    jobs = tuple(replace(job, rank=0) for job in line.jobs)
    return replace(line, jobs=jobs, rule=fc.Rule.LEAST_SLACK)


def _lateness(line: Any, futures: Any) -> tuple[float, float]:
    import numpy as np

    due = np.array([one.due_s for one in line.instruments])
    over = np.maximum(0.0, futures.finishes_s - due[None, :]) / 86_400
    return float((over > 0).mean()), float(over.mean())


if __name__ == "__main__":
    main()
