"""Do the promised days hold?  Forecasts at past moments of lived histories are scored.

A shop lives for two years or more. Every other week the floor is forecast by what is
known then, and kept, so that later days are corrected by what came of earlier ones.
Orders that are released in the fortnight after are foretold beside it, each once: an
answer to a new order and a release plan rest on that. A promise is scored where its day
has come by the end: whether it can be scored depends on what was said, not on what came
true. What was scrapped is left out. Beside it stands what holds of all, those with a
day that is still to come among them. The air of the rooms is written down ahead, so
that wood goes on drying: its forecast sees what it could not know yet. With ``--keep``
histories stay in a folder, and are not lived again.
"""

import os
from argparse import ArgumentParser
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from tests.bench.ground import say
from tests.bench.histories import EVERY, FIRST, history, moment_of, open_at, start
from tests.bench.table import row

FUTURES = 200
ODDS = (0.1, 0.25, 0.5, 0.8, 0.95)
SPOKEN = 0.8
FORECAST = ("instruments", "orders")
SORTS = (*FORECAST, "asked")
YOUNG = timedelta(days=547)


@dataclass(frozen=True)
class Said:
    """What was promised of one instrument or order, and when it came.

    ``raw`` are the days as the futures say them, ``by`` as they were doubted, or
    corrected by what came of ``learned_of`` others. The shop was so old.
    """

    sort: str
    name: str
    at: datetime
    end: datetime
    raw: tuple[datetime, ...]
    by: tuple[datetime, ...]
    learned_of: int
    came: datetime | None
    age: timedelta


def main() -> None:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--years", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="the folder in which histories stay")
    given = parser.parse_args()
    # Read where histories are lived, in processes of their own.
    os.environ["BENCH_YEARS"] = str(given.years)
    told: list[Said] = []
    with TemporaryDirectory() as folder:
        # A process for each: a started shop keeps what it has read of its routes.
        spawned = get_context("spawn")
        seeds = range(1, given.seeds + 1)
        where = given.keep or Path(folder)
        with spawned.Pool(given.processes, maxtasksperchild=1) as pool:
            lives = [(seed, where) for seed in seeds]
            for some in pool.imap_unordered(_lived, lives):
                told += some
                say(f"{len(told)} promises so far")
    for sort in FORECAST:
        own = [one for one in told if one.sort == sort]
        _score(f"{sort}, none learned of", [one for one in own if not one.learned_of])
        _score(f"{sort}, corrected", [one for one in own if one.learned_of])
    own = [one for one in told if one.sort == "asked"]
    what = "orders before their release"
    _score(f"{what}, first 18 months", [one for one in own if one.age < YOUNG])
    _score(f"{what}, later", [one for one in own if one.age >= YOUNG])


def _lived(life: tuple[int, Path]) -> list[Said]:
    """Forecast a shop's past moments one by one, each knowing the forecasts before."""
    seed, folder = life
    start(folder)
    found = history(seed=seed, folder=folder)
    open_at(found.last)
    came = _came()
    kept: list[dict[str, Any]] = []
    for path in found.moments:
        _forecast(path, kept, came)
    return list(_said(kept, came, moment_of(found.last), seed))


@dataclass(frozen=True)
class Came:
    """An order as it was released, and when its instruments came, without scrapped."""

    order: Any
    released_at: datetime
    ends: Mapping[str, datetime | None]

    def last(self, names: Iterable[str]) -> datetime | None:
        """Say when the last of some came, if all have come."""
        some = [self.ends[name] for name in names if name in self.ends]
        moments = [moment for moment in some if moment]
        return max(moments) if moments and len(moments) == len(some) else None


def _came() -> dict[str, Came]:
    """Read what came of all orders."""
    from travelers.orders.models import Instrument, WorkOrder
    from travelers.planning.queries.forecast.to_come import ToCome

    rows = Instrument.objects.exclude(state="SCRAPPED")
    ends: dict[str, dict[str, datetime | None]] = {}
    told = rows.values_list("order__number", "serial", "closed_at")
    for order, serial, closed_at in told.order_by("id"):
        ends.setdefault(order, {})[serial] = closed_at
    return {
        one.number: Came(
            ToCome(
                one.number,
                one.pk,
                one.revision.model_id,
                one.revision_id,
                one.quantity,
                one.due_on,
                one.priority,
            ),
            one.released_at,
            ends.get(one.number, {}),
        )
        for one in WorkOrder.objects.exclude(released_at=None)
        .select_related("revision")
        .order_by("id")
        if one.released_at
    }


def _forecast(path: Path, kept: list[dict[str, Any]], came: Mapping[str, Came]) -> None:
    """Make the forecast of a moment, and leave its file as it was."""
    from django.db import transaction
    from django.utils import timezone

    from travelers.planning.actions import make_forecast
    from travelers.planning.models import Forecast

    open_at(path)
    zone = ZoneInfo(timezone.get_default_timezone_name())
    with transaction.atomic():
        Forecast.objects.all().delete()
        Forecast.objects.bulk_create(Forecast(**row) for row in kept)
        made = make_forecast(at=moment_of(path), seed=1, futures=FUTURES, zone=zone)
        names = ("made_at", "day", "seed", "futures", "digest", "results")
        kept.append({name: getattr(made, name) for name in names})
        soon = [
            one
            for one in came.values()
            if made.made_at < one.released_at <= made.made_at + EVERY
        ]
        _ask(kept[-1]["results"], soon, made.made_at, zone)
        transaction.set_rollback(True)


def _ask(
    results: dict[str, Any], soon: list[Came], at: datetime, zone: ZoneInfo
) -> None:
    """Add what would be said of orders that are released on the days that they were.

    The floor is lived through with them, as a plan and an answer do.
    """
    from travelers.formulas import forecast as fc
    from travelers.formulas.odds import GRID
    from travelers.planning.queries.forecast import floor_now, lessons
    from travelers.planning.queries.forecast.to_come import to_build
    from travelers.planning.queries.release.asked import Asked
    from travelers.planning.queries.release.ground import Ground

    orders = tuple(one.order for one in soon)
    today = at.astimezone(zone).date()
    midnight = datetime.combine(today, time(), tzinfo=zone)
    learned = lessons(at=at).new_orders
    here = Ground(
        asked=Asked(80, None, False, orders),
        floor=floor_now(at=at, zone=zone, planned=to_build(orders=orders)),
        alone={},
        limits=(),
        rooms=(),
        open_days=(),
        offset_s=(at - midnight).total_seconds(),
        today=today,
        learned=learned,
    )
    days = {
        one.order.number: (one.released_at.astimezone(zone).date() - today).days
        for one in soon
    }
    ends = fc.simulate(here.line(days, days), 1, FUTURES).orders_s() if days else {}
    results["asked"] = [
        {
            "name": name,
            "grid_s": fc.quantiles_s(ends[name][:, None], GRID)[0],
            "by_s": here.by_s(ends[name], ODDS),
        }
        for name in days
    ]
    results["learned_of"]["asked"] = learned.of


def _said(
    kept: list[dict[str, Any]], came: Mapping[str, Came], end: datetime, seed: int
) -> Iterable[Said]:
    """Say of each promise when it came; an order comes with the last not scrapped."""
    for each in kept:
        at, results = each["made_at"], each["results"]
        there: dict[str, list[str]] = {}
        for one in results["instruments"]:
            there.setdefault(one["order"], []).append(one["name"])
        for sort in SORTS:
            for one in results[sort]:
                order = came[one.get("order", one["name"])]
                names = [one["name"]]
                if sort != "instruments":
                    names = there[one["name"]] if sort == "orders" else [*order.ends]
                if not any(name in order.ends for name in names):
                    continue
                raw, by = (
                    tuple(at + timedelta(seconds=seconds) for seconds in days)
                    for days in _days(results, sort, one)
                )
                yield Said(
                    sort,
                    f"{seed} {one['name']}",
                    at,
                    end,
                    raw,
                    by,
                    results["learned_of"][sort],
                    order.last(names),
                    at - kept[0]["made_at"] + FIRST,
                )


def _days(
    results: Mapping[str, Any], sort: str, one: Mapping[str, Any]
) -> tuple[list[float], list[float]]:
    """Give the days of the futures themselves, and those that were said."""
    from travelers.formulas.odds import Doubt, moment_at

    raw = [moment_at(place, one["grid_s"]) for place in ODDS]
    if sort == "asked":
        return raw, list(one["by_s"])
    doubted_s = Doubt(*results["doubted"][sort]).doubted_s(one["grid_s"])
    return raw, [moment_at(place, doubted_s) for place in results["said"][sort]]


def _score(what: str, told: list[Said]) -> None:
    things, moments = ({getattr(one, name) for one in told} for name in ("name", "at"))
    say(f"{what}: {len(told)} promises of {len(things)} at {len(moments)} moments")
    for how in ("raw", "by"):
        say("  as the futures say:" if how == "raw" else "  as is said:")
        of_all = _held_of_all(told, how)
        for n, odds in enumerate(ODDS):
            due = [(one, getattr(one, how)[n]) for one in told]
            due = [(one, day) for one, day in due if day <= one.end]
            if due:
                held = _say_share(odds, due, of_all[n])
                if how == "by" and odds == SPOKEN:
                    spoken = f"{what}: of {len(due)} days of 80 of 100 held"
                    row(spoken, 100 * held, "%", at_least=75, at_most=85)
    finished = [one for one in told if one.came]
    if finished:
        late = sorted((one.came - one.by[2]) / timedelta(days=1) for one in finished)
        middle = late[len(late) // 2]
        say(f"  half of those finished came {middle:+.0f} days after the middle day")


def _held_of_all(told: list[Said], how: str) -> list[float]:
    """Estimate which days hold of all, those that are still to come among them.

    The product-limit estimate: what has not come by the end counts until then.
    """
    from travelers.formulas.lasting import survival

    ended: list[float] = []
    still: list[float] = []
    for one in told:
        moment = one.came or one.end
        (ended if one.came else still).append(_place(one, getattr(one, how), moment))
    left = [(0.0, 1.0), *survival(ended, still)]
    return [
        1 - next(share for place, share in reversed(left) if place <= odds)
        for odds in ODDS
    ]


def _place(one: Said, days: tuple[datetime, ...], moment: datetime) -> float:
    """Say between which of the days said a moment lies; 1 is after the last."""
    known = [(one.at, 0.0), *zip(days, ODDS, strict=True)]
    place = bisect_left([day for day, _ in known], moment)
    if place == 0:
        return 0.0
    if place == len(known):
        return 1.0
    (since, low), (until, high) = known[place - 1 : place + 1]
    return low + (high - low) * ((moment - since) / (until - since))


def _say_share(odds: float, due: list[tuple[Said, datetime]], of_all: float) -> float:
    from travelers.formulas.shares import share

    held = sum(one.came is not None and one.came <= day for one, day in due)
    found = share(held, len(due), len({one.name for one, _ in due}))
    between = f"{found.least:.0%} to {found.most:.0%}"
    say(
        f"    {odds:4.0%} days that came: {len(due):5}, "
        f"held {found.share:4.0%}, {between}; of all {of_all:4.0%}"
    )
    return found.share


if __name__ == "__main__":
    main()
