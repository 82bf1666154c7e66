"""Are all sets of a room fitted at once?  Is a year of its air soon drawn?"""

import math
import os
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from random import Random
from zoneinfo import ZoneInfo

from tests.bench.ground import database
from tests.bench.table import row, tried

SETS, READINGS, END_PCT = 500, 8, 5.0
# A year of readings every ten minutes.
ROWS, EVERY = 52_560, timedelta(minutes=10)


def main() -> None:
    tried("sets of wood fitted", _fits)
    with database():
        tried("the air of a year drawn", _chart)


def _fits() -> None:
    import numpy as np
    from scipy.optimize import curve_fit

    from travelers.formulas.drying import fit_many, moisture_after_pct

    chance = Random(1)
    given = []
    for _ in range(SETS):
        rate, start = math.exp(chance.gauss(-3, 0.3)), chance.uniform(10, 15)
        days = [7.0 * n for n in range(READINGS)]
        given.append(
            (
                days,
                [
                    moisture_after_pct(start, END_PCT, rate, day) + chance.gauss(0, 0.2)
                    for day in days
                ],
            )
        )

    def curve(day, initial, rate):  # type: ignore[no-untyped-def]
        return END_PCT + (initial - END_PCT) * np.exp(-rate * day)

    def one_by_one() -> None:
        for days, values in given:
            curve_fit(curve, np.array(days), values, p0=(12, 0.05))

    def at_once() -> None:
        fit_many(given, [END_PCT] * SETS)

    def said() -> None:
        for one in fit_many(given, [END_PCT] * SETS):
            one.day_below(6.0, 0.8)

    scipy_ms, ours_ms, all_ms = (_least_ms(one) for one in (one_by_one, at_once, said))
    sets = f"{SETS} sets of {READINGS} readings"
    row(f"{sets} fitted one by one by curve_fit", scipy_ms, "ms")
    row(f"{sets} fitted at once", ours_ms, "ms")
    row("the same with their days and intervals", all_ms, "ms")
    row("one by one beside all at once", scipy_ms / ours_ms, "times", at_least=20)


def _chart() -> None:
    from travelers.lumber.documents import AirWords, air_chart
    from travelers.lumber.queries import Course

    chance = Random(2)
    at = datetime(2026, 1, 1, tzinfo=UTC)
    course = Course(
        tuple(at + n * EVERY for n in range(ROWS)),
        tuple(40 + chance.gauss(0, 0.5) for _ in range(ROWS)),
        tuple(33 + chance.gauss(0, 1) for _ in range(ROWS)),
    )
    words = AirWords(*["word"] * 6)

    def draw() -> None:
        air_chart(
            course=course,
            limit_pct=6.0,
            zone=ZoneInfo("UTC"),
            words=words,
            dark=False,
        )

    row(f"the air of a year ({ROWS} rows) drawn", _least_ms(draw), "ms", at_most=300)


def _least_ms(work: Callable[[], None], rounds: int = 5) -> float:
    work()
    taken = []
    for _ in range(rounds):
        begun = time.perf_counter()
        work()
        taken.append(time.perf_counter() - begun)
    return 1000 * min(taken)


if __name__ == "__main__":
    os.environ.setdefault("SECRET_KEY", "bench")
    main()
