"""Do the promised days hold?  Forecasts at past moments of lived histories are scored.

A shop lives for two years. Every other week the floor is forecast by what is known
then, and kept, so that later days are corrected by what came of earlier ones. A promise
is scored where its day has come by the end: whether it can be scored depends on what
was said, not on what came true. What was scrapped is left out. The air of the rooms is
written down ahead, so that wood goes on drying: its forecast sees what it could not
know yet. With ``--keep`` histories stay in a folder, and are not lived again.
"""

from argparse import ArgumentParser
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from multiprocessing import get_context
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zoneinfo import ZoneInfo

from tests.bench.ground import say
from tests.bench.histories import history, moment_of, open_at, start

FUTURES = 200
ODDS = (0.1, 0.25, 0.5, 0.8, 0.95)
SORTS = ("instruments", "orders")


@dataclass(frozen=True)
class Said:
    """What was promised of one instrument or order, and when it came.

    ``raw`` are the days as the futures say them, ``by`` as they were corrected by what
    came of ``learned_of`` others.
    """

    sort: str
    name: str
    at: datetime
    end: datetime
    raw: tuple[datetime, ...]
    by: tuple[datetime, ...]
    learned_of: int
    came: datetime | None


def main() -> None:
    parser = ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=2)
    parser.add_argument("--keep", type=Path, help="the folder in which histories stay")
    given = parser.parse_args()
    told: list[Said] = []
    with TemporaryDirectory() as folder:
        # A process for each: a started shop keeps what it has read of its routes.
        spawned = get_context("spawn")
        for seed in range(1, given.seeds + 1):
            with spawned.Pool(1) as pool:
                told += pool.apply(_lived, (seed, given.keep or Path(folder)))
            say(f"seed {seed} has lived: {len(told)} promises so far")
    for sort in SORTS:
        own = [one for one in told if one.sort == sort]
        _score(
            f"{sort}, nothing learned yet", [one for one in own if not one.learned_of]
        )
        _score(f"{sort}, corrected", [one for one in own if one.learned_of])


def _lived(seed: int, folder: Path) -> list[Said]:
    """Forecast a shop's past moments one by one, each knowing the forecasts before."""
    start(folder)
    found = history(seed=seed, folder=folder)
    kept: list[dict[str, Any]] = []
    for path in found.moments:
        _forecast(path, kept)
    open_at(found.last)
    return list(_came(kept, moment_of(found.last), seed))


def _forecast(path: Path, kept: list[dict[str, Any]]) -> None:
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
        transaction.set_rollback(True)


def _came(kept: list[dict[str, Any]], end: datetime, seed: int) -> Iterable[Said]:
    """Say of each promise when it came; an order comes with the last not scrapped."""
    from travelers.formulas.odds import moment_at
    from travelers.orders.models import Instrument

    rows = Instrument.objects.exclude(state="SCRAPPED")
    ends = dict(rows.values_list("serial", "closed_at"))
    for row in kept:
        at, results = row["made_at"], row["results"]
        parts: dict[str, list[datetime | None]] = {}
        for one in results["instruments"]:
            if one["name"] in ends:
                parts.setdefault(one["order"], []).append(ends[one["name"]])
        for sort in SORTS:
            for one in results[sort]:
                some = parts.get(one["name"], [])
                if sort == "instruments":
                    some = [ends[one["name"]]] if one["name"] in ends else []
                if not some:
                    continue
                moments = [moment for moment in some if moment]
                raw, by = (
                    tuple(
                        at + timedelta(seconds=moment_at(place, one["grid_s"]))
                        for place in places
                    )
                    for places in (ODDS, results["said"][sort])
                )
                yield Said(
                    sort,
                    f"{seed} {one['name']}",
                    at,
                    end,
                    raw,
                    by,
                    results["learned_of"][sort],
                    max(moments) if len(moments) == len(some) else None,
                )


def _score(what: str, told: list[Said]) -> None:
    things, moments = ({getattr(one, name) for one in told} for name in ("name", "at"))
    say(f"{what}: {len(told)} promises of {len(things)} at {len(moments)} moments")
    for how in ("raw", "by"):
        say("  as the futures say:" if how == "raw" else "  as is said:")
        for n, odds in enumerate(ODDS):
            due = [(one, getattr(one, how)[n]) for one in told]
            due = [(one, day) for one, day in due if day <= one.end]
            if due:
                _say_share(odds, due)
    finished = [one for one in told if one.came]
    if finished:
        late = sorted((one.came - one.by[2]) / timedelta(days=1) for one in finished)
        middle = late[len(late) // 2]
        say(f"  half of those finished came {middle:+.0f} days after the middle day")


def _say_share(odds: float, due: list[tuple[Said, datetime]]) -> None:
    from travelers.formulas.shares import share

    held = sum(one.came is not None and one.came <= day for one, day in due)
    found = share(held, len(due), len({one.name for one, _ in due}))
    between = f"{found.least:.0%} to {found.most:.0%}"
    say(
        f"    {odds:4.0%} days that came: {len(due):5}, "
        f"held {found.share:4.0%}, {between}"
    )


if __name__ == "__main__":
    main()
