"""How fast are futures lived through, and does the forecast name what limits?"""

import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from heapq import heappop, heappush
from pathlib import Path
from random import Random
from statistics import median
from typing import Any

from tests.bench.ground import say
from tests.bench.table import not_measured, row, tried

STATIONS, STEPS, JOBS = 25, 60, 500
DAY = 86_400.0
SHOPS, FUTURES = 100, 200


def main(given: list[str]) -> None:
    if given:
        {"first": _first, "memory": _memory}[given[0]]()
        return
    tried("futures beside other engines", _speed)
    tried("a thousand futures", _whole)
    tried("first answers", _starts)
    tried("what limits made shops", _limits)


def line(jobs: int = JOBS) -> Any:
    """Make a flow line: 25 stations loaded to 80 %, all jobs with the same 60 steps.

    Four jobs come a day, by chance; every tenth step is a wait of 14 days that needs no
    place; times are gamma with a coefficient of variation of 0.5.
    """
    from tests.formulas.forecast_lines import chain_line
    from travelers.formulas.forecast import gamma

    places = [1 + n % 4 for n in range(STATIONS)]
    way = [-1 if k % 10 == 9 else (7 * k + k // 11) % STATIONS for k in range(STEPS)]
    steps = [
        (at, gamma(_mean_s(places[at], way.count(at)) if at >= 0 else 14 * DAY, 0.5))
        for at in way
    ]
    chance, at, comes = Random(1), 0.0, []
    for _ in range(jobs):
        at += chance.expovariate(4) * DAY
        comes.append(at)
    return chain_line(places, steps, comes)


def floor() -> Any:
    """Make a shop: 500 instruments of three jobs, 60 steps each, as they are built.

    Day shifts with closed days, a room, glue that dwells, coats with gaps, rework and
    scrap, wood with a drying day; who has the least slack is taken first.
    """
    from travelers.formulas.forecast import (
        Instrument,
        Job,
        Line,
        Rule,
        Station,
        Step,
        fixed,
        gamma,
        quantiles,
        weekly,
    )

    shift = weekly(
        [(d * DAY + 8 * 3600, d * DAY + 16 * 3600) for d in range(5)],
        closed_days=[24, 25],
    )
    chance = Random(2)

    def bench(loaded: float) -> Step:
        at = f"s{chance.randrange(24)}"
        dwell = gamma(3 * 3600, 0.3) if chance.random() < 0.2 else fixed(0)
        rework = 0.05 if chance.random() < 0.2 else 0.0
        return Step(at, gamma(loaded, 0.5), dwell=dwell, rework=rework)

    room = Step("room", dwell=gamma(5 * DAY, 0.2))
    coats = Step("s3", gamma(900, 0.4), times=8, gap=fixed(2 * 3600))
    body = (room, *(bench(3000) for _ in range(20)))
    neck = (room, *(bench(3000) for _ in range(17)))
    whole = (*(bench(3000) for _ in range(6)), coats, *(bench(3000) for _ in range(7)))
    made, owners = [], []
    for n in range(JOBS):
        dry = quantiles([0, 20 * DAY])
        wood = Step(None, not_before=dry)
        at = n * DAY / 4
        owners.append(Instrument(f"i{n}", f"o{n // 5}", due_s=at + 120 * DAY))
        made.append(Job(f"b{n}", f"i{n}", (wood, *body), release_s=at))
        made.append(Job(f"n{n}", f"i{n}", neck, release_s=at))
        made.append(Job(f"a{n}", f"i{n}", whole, joins=(f"b{n}", f"n{n}")))
    stations = [Station(f"s{n}", 2 + n % 3, shift) for n in range(24)]
    stations.append(Station("room", 60, shift, is_holding=True))
    return Line(tuple(stations), tuple(made), tuple(owners), rule=Rule.LEAST_SLACK)


def _mean_s(places: int, visits: int) -> float:
    return 0.8 * places / (4 * visits) * DAY


def _speed() -> None:
    from tests.formulas.forecast_lines import by_ciw, by_simpy, drawn_anew
    from travelers.formulas.forecast import simulate, trace

    model = line()
    lasts = [[0.0] * STEPS for _ in range(JOBS)]
    for one in trace(model, 1):
        lasts[int(one.job.rpartition("/")[2])][one.step] = one.end_s - one.start_s

    def times(job: int, step: int) -> float:
        return lasts[job][step]

    events = JOBS * (STEPS + 1)
    ours = simulate(model, 1, 1)
    engines: dict[str, tuple[Callable[[], Any], int]] = {
        "Ciw": (lambda: by_ciw(model, times), 1),
        "SimPy": (lambda: by_simpy(model, times), 5),
        "a heap in plain Python": (lambda: _plain(model, lasts), 7),
    }
    rates = {}
    for name, (engine, rounds) in engines.items():
        try:
            seconds, finishes = _cpu(engine, rounds)
        except ModuleNotFoundError:
            not_measured(f"ours beside {name}", "it is not installed")
            continue
        apart = max(
            abs(a - b) for a, b in zip(ours.finishes_s[0], finishes, strict=True)
        )
        rates[name] = events / seconds
        say(f"{name}: {rates[name]:,.0f} events/s, at most {apart:.1e} s from ours")
    seconds, _ = _cpu(lambda: by_simpy(model, drawn_anew(model, Random(1))), 5)
    rates["SimPy, drawing its times too"] = events / seconds
    say(f"SimPy, drawing its times too: {events / seconds:,.0f} events/s")
    seconds, many = _cpu(lambda: simulate(model, 1, 60), 15)
    rate = many.events / seconds
    row("ours, drawing its times too", rate, "events/s", digits=0)
    for name, other in rates.items():
        aim = 60 if name.startswith("SimPy") else None
        row(f"ours beside {name}", rate / other, "times", at_least=aim)


def _plain(model: Any, lasts: list[list[float]]) -> list[float]:
    """Live through the flow line with the standard library's heap, as others would."""
    way = [
        int(step.station[1:]) if step.station else -1 for step in model.jobs[0].steps
    ]
    free = [one.places for one in model.stations]
    waiting: list[list[int]] = [[] for _ in free]
    at = [-1] * len(lasts)
    finishes = [0.0] * len(lasts)
    events = sorted((job.release_s, n) for n, job in enumerate(model.jobs))
    while events:
        moment, job = heappop(events)
        step = at[job]
        if step >= 0 and way[step] >= 0:
            queue = waiting[way[step]]
            if queue:
                other = queue.pop(0)
                heappush(events, (moment + lasts[other][at[other]], other))
            else:
                free[way[step]] += 1
        step += 1
        at[job] = step
        if step == len(way):
            finishes[job] = moment
        elif way[step] < 0:
            heappush(events, (moment + lasts[job][step], job))
        elif free[way[step]]:
            free[way[step]] -= 1
            heappush(events, (moment + lasts[job][step], job))
        else:
            waiting[way[step]].append(job)
    return finishes


def _whole() -> None:
    from travelers.formulas.forecast import simulate

    for name, model in (("a flow line", line()), ("a shop as it is", floor())):
        seconds, found = _cpu(partial(simulate, model, 1, 1000), 1)
        say(f"{name}: {found.events / seconds / 1e6:.1f} million events/s")
        what = f"1,000 futures of {JOBS} instruments with {STEPS} steps, {name}"
        aim = 5 if model.rule == "FIRST_COME" else None
        row(what, seconds, "s of one core", at_most=aim)


def _starts() -> None:
    with tempfile.TemporaryDirectory() as folder:
        kept = {**os.environ, "NUMBA_CACHE_DIR": folder}
        never, once = (_fresh("first", kept) for _ in range(2))
        row("first answer, never compiled before", float(never), "s", digits=2)
        row("first answer, kept on disk", float(once), "s", digits=2, at_most=1)
        say(f"1,000 futures of the flow line: {_fresh('memory', kept)}")


def _fresh(what: str, environment: dict[str, str]) -> str:
    command = [sys.executable, "-m", "tests.bench.forecast", what]
    done = subprocess.run(
        command, env=environment, check=True, capture_output=True, text=True
    )
    return done.stdout.strip()


def _first() -> None:
    model = line()
    begun = time.perf_counter()
    from travelers.formulas.forecast import in_slices

    found = next(in_slices(model, 1, 1000))
    found.order_quantiles_s()
    say(f"{time.perf_counter() - begun:.3f}")


def _memory() -> None:
    def peak() -> str:
        # What getrusage tells begins with the peak of the process that started this.
        status = Path("/proc/self/status").read_text(encoding="utf-8")
        used = next(one for one in status.splitlines() if one.startswith("VmHWM"))
        return f"{int(used.split()[1]) / 1024:.0f}"

    told = [peak()]
    from travelers.formulas.forecast import simulate

    model = line()
    for futures in (1, 1000):
        simulate(model, 1, futures)
        told.append(peak())
    say("peak of {} MiB before, {} MiB with one future, {} MiB with all".format(*told))


def _limits() -> None:
    """Ask of made shops whose limit is known, and really add the place."""
    from tests.formulas.forecast_lines import shop
    from travelers.formulas.forecast import compared, simulate

    for others in (0.75, 0.95):
        right, off = 0, []
        for seed in range(SHOPS):
            limit = seed % 8
            here = shop(seed, limit=limit, others=others)
            there = shop(seed, limit=limit, others=others, more=limit)
            told = simulate(here, seed, FUTURES)
            named = max(told.stations(), key=lambda one: one.limits_share)
            right += named.name == f"s{limit}"
            foretold = compared(told, simulate(there, seed, FUTURES)).finish_s.mean
            before, after = (
                float(simulate(model, seed + far, FUTURES).finishes_s.mean())
                for model, far in ((here, 10_000), (there, 20_000))
            )
            off.append(abs(foretold / (after - before) - 1))
        near = sum(one <= 0.2 for one in off)
        what = f"of {SHOPS} shops, others loaded to {others:.0%}"
        row(f"{what}, the limit named in", right, digits=0, at_least=95)
        row(f"{what}, one more place foretold within 20 % in", near, digits=0)
        say(f"off by {median(off):.1%} in the middle, {max(off):.1%} at worst")


def _cpu(work: Callable[[], Any], rounds: int) -> tuple[float, Any]:
    """Give the least seconds of one core, which others at work do not count in."""
    least, found = math.inf, None
    for _ in range(rounds):
        begun = time.process_time()
        found = work()
        least = min(least, time.process_time() - begun)
    return least, found


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main(sys.argv[1:])
