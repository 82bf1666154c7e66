"""Do the promised days hold?  Forecasts at past dates of lived histories are scored.

The demo's shop lives for months; at several moments it stands still and the floor is
forecast by what is known then. A promise is scored where its day has come by the end:
whether it can be scored depends on what was said, not on what came true. What was
scrapped is left out, since it never came, and what is still held a year later: the demo
places its last holds to be seen, and nobody lifts them. The air of the rooms is written
down ahead, so that wood goes on drying: its forecast sees what it could not know yet.
"""

import math
from argparse import ArgumentParser
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from multiprocessing import get_context
from typing import Any
from unittest.mock import patch
from zoneinfo import ZoneInfo

from tests.bench.ground import database, say

ODDS = (0.1, 0.25, 0.5, 0.8, 0.95)
FUTURES = 200
# The history is stopped after these shares of it, and lives on for so long after it: no
# order is released any more.
STOPS = (0.7, 0.85, 1)
END = datetime(2026, 5, 29, 14, tzinfo=UTC)
ON = timedelta(days=365)


@dataclass(frozen=True)
class Said:
    """What was promised of one instrument, or of an order with several."""

    of: str
    name: str
    at: datetime
    by: tuple[datetime, ...]


def main() -> None:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--instruments", type=int, default=120)
    given = parser.parse_args()
    told: list[tuple[Said, datetime | None]] = []
    # A process for each: a started shop keeps the database that it was started with.
    spawned = get_context("spawn")
    for seed in range(1, given.seeds + 1):
        with spawned.Pool(1) as pool:
            told += pool.apply(_lived, (seed, given.instruments))
        say(f"seed {seed} has lived: {len(told)} promises so far")
    for of in ("instrument", "order"):
        _score(of, [pair for pair in told if pair[0].of == of])


def _lived(seed: int, instruments: int) -> list[tuple[Said, datetime | None]]:
    """Let a shop live, and give what was said and what came."""
    with database():
        from travelers.demo.actions import load_demo

        said: list[Said] = []
        with _stopping(said):
            load_demo(seed=seed, instruments=instruments, now=END)
        came = _came()
    # Scrapped ones, and orders that lost one, are not in it.
    return [(one, came[one.name]) for one in said if one.name in came]


@contextmanager
def _stopping(said: list[Said]) -> Iterator[None]:
    """Stop the history now and then, to forecast."""
    from travelers.demo.actions import loading
    from travelers.demo.rules.agenda import Agenda
    from travelers.shop.models import Gauge

    run, heat = Agenda.run, loading.heat_rooms

    def stopping(agenda: Agenda, until: datetime) -> None:
        begun = agenda.now
        for share in STOPS:
            run(agenda, begun + share * (until - begun))
            said.extend(_forecast(agenda.now))
        # In the demo nobody has gauges calibrated.
        Gauge.objects.update(due_on=(until + 2 * ON).date())
        run(agenda, until + ON)

    def heating(*, until: datetime, **told: Any) -> None:
        heat(until=until + ON, **told)

    with (
        patch.object(Agenda, "run", stopping),
        patch.object(loading, "heat_rooms", heating),
    ):
        yield


def _forecast(at: datetime) -> list[Said]:
    from django.utils import timezone

    from travelers.formulas import forecast as fc
    from travelers.planning.queries.forecast import floor_now

    zone = ZoneInfo(timezone.get_default_timezone_name())
    floor = floor_now(at=at, zone=zone)
    if not floor.line.instruments:
        return []
    futures = fc.simulate(floor.line, 1, FUTURES)
    pairs: tuple[tuple[str, Mapping[str, tuple[float, ...]]], ...] = (
        ("instrument", futures.quantiles_s(ODDS)),
        ("order", futures.order_quantiles_s(ODDS)),
    )
    return [
        Said(of, name, at, tuple(at + timedelta(seconds=one) for one in by))
        for of, found in pairs
        for name, by in found.items()
    ]


def _came() -> dict[str, datetime | None]:
    """Say when each instrument and order was finished; None for what is not yet."""
    from travelers.orders.models import Instrument

    found: dict[str, datetime | None] = {}
    orders: dict[str, list[Any]] = {}
    for one in Instrument.objects.select_related("order").prefetch_related("parts"):
        orders.setdefault(one.order.number, []).append(one)
        if _counts(one):
            found[one.serial] = one.closed_at
    for number, some in orders.items():
        if all(map(_counts, some)):
            ends = [one.closed_at for one in some]
            found[number] = None if None in ends else max(ends)
    return found


def _counts(one: Any) -> bool:
    held = one.held_at or any(part.held_at for part in one.parts.all())
    return one.state == "FINISHED" or (one.state == "OPEN" and not held)


def _score(of: str, told: list[tuple[Said, datetime | None]]) -> None:
    say(f"{of}s: {len(told)} promises, {len({one.name for one, _ in told})} of them")
    for n, odds in enumerate(ODDS):
        known = [(one, came) for one, came in told if one.by[n] <= END + ON]
        if not known:
            say(f"  {odds:.0%}: none has come")
            continue
        held = sum(came is not None and came <= one.by[n] for one, came in known)
        share = held / len(known)
        error = math.sqrt(share * (1 - share) / len(known))
        sure = f"held {share:4.0%} ± {error:.0%}"
        say(f"  {odds:4.0%} days that came: {len(known):4}, {sure}")
    finished = [(one, came) for one, came in told if came]
    if finished:
        late = sorted((came - one.by[2]) / timedelta(days=1) for one, came in finished)
        middle = late[len(late) // 2]
        say(f"  half of those finished came {middle:+.0f} days after the middle day")


if __name__ == "__main__":
    main()
