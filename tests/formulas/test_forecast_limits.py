"""Is the station that limits named, and is what one more place brings foretold?"""

from dataclasses import replace

import pytest

from tests.formulas.forecast_lines import shop
from travelers.formulas.forecast import (
    Instrument,
    Job,
    Line,
    Station,
    Step,
    compare,
    compared,
    fixed,
    simulate,
    weekly,
    with_less_rework,
    with_longer_days,
    with_more_places,
)
from travelers.formulas.forecast.futures import open_s_by_week


@pytest.mark.parametrize("seed", range(12))
def test_the_station_that_limits_is_named_and_its_gain_foretold(seed) -> None:
    """One more place is really added in futures of another seed: within 20 %.

    The benchmark does the same with 100 shops.
    """
    limit = seed % 8
    here, there = shop(seed, limit=limit), shop(seed, limit=limit, more=limit)
    told = simulate(here, seed, 200)
    named = max(told.stations(), key=lambda one: one.limits_share)
    assert named.name == f"s{limit}"
    foretold = compared(told, simulate(there, seed, 200)).finish_s.mean
    before, after = (
        simulate(line, other, 200).finishes_s.mean()
        for line, other in ((here, seed + 1000), (there, seed + 2000))
    )
    assert foretold == pytest.approx(after - before, rel=0.2)


def test_waits_count_only_along_the_longest_way() -> None:
    """Necks wait long at their station, yet bodies decide: nobody waits for necks."""
    jobs = []
    for n in range(4):
        body = (Step("mould", fixed(100)),)
        jobs.append(Job(f"body {n}", f"i{n}", body))
        jobs.append(Job(f"neck {n}", f"i{n}", (Step("carve", fixed(20)),)))
        mates = (f"body {n}", f"neck {n}")
        jobs.append(Job(f"all {n}", f"i{n}", (Step("join", fixed(1)),), joins=mates))
    stations = (Station("carve", 1), Station("mould", 1), Station("join", 1))
    owners = tuple(Instrument(f"i{n}") for n in range(4))
    found = simulate(Line(stations, tuple(jobs), owners), 1, 1)
    assert found.way_waits_s.tolist() == [[0, 100 + 200 + 300, 0]]
    assert found.told["waited_s"].tolist() == [[20 + 40 + 60, 600, 0]]
    assert [one.limits_share for one in found.stations()] == [0, 1, 0]
    assert found.parts()["i3"].mates_s == 400 - 80


DAY_S = 86_400
DAYS = weekly([(d * DAY_S + 8 * 3600, d * DAY_S + 16 * 3600) for d in range(5)])


def shifted(seed: int) -> Line:
    """Make a shop that works by day, where one station limits and sends back."""
    line = shop(seed, limit=2, jobs=15)
    stations = tuple(replace(one, hours=DAYS) for one in line.stations)
    jobs = tuple(
        replace(
            job,
            steps=tuple(
                replace(step, rework=0.2) if step.station == "s2" else step
                for step in job.steps
            ),
        )
        for job in line.jobs
    )
    return replace(line, stations=stations, jobs=jobs)


@pytest.mark.parametrize(
    "change",
    [
        with_more_places,
        with_longer_days,
        lambda line, station: with_less_rework(line, station, 0.5),
    ],
    ids=["a place", "an hour a day", "half the rework"],
)
def test_help_at_the_limit_brings_instruments_forward(change) -> None:
    here = shifted(1)
    found = compare(here, change(here, "s2"), 1, 60)
    assert found.finish_s.high < 0
    assert found.there.told["busy_s"].sum() <= found.here.told["busy_s"].sum() + 1e-3


def test_an_hour_more_a_day_is_an_hour_more_of_each_day_open() -> None:
    line = Line((Station("bench", 1, DAYS),), (), ())
    longer = with_longer_days(line, "bench", 3600).stations[0].hours
    assert [b - a for a, b in longer.opens[:5]] == [9 * 3600] * 5
    weeks = open_s_by_week(longer, 60)
    assert weeks == tuple([5 * 9 * 3600.0] * 60)
    shut = with_longer_days(line, "bench", 5 * DAY_S).stations[0].hours
    assert shut.opens[0] == (8 * 3600, shut.opens[-1][1])
    assert max(open_s_by_week(shut, 60)) <= 7 * DAY_S


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda line: with_more_places(line, "z"), "station must be one of the line"),
        (lambda line: with_more_places(line, "s2", -3), "places must be at least 1"),
        (lambda line: with_longer_days(line, "s2", -1), "seconds must be 0 or more"),
        (lambda line: with_less_rework(line, "s2", 2), "share must be from 0 to 1"),
        (lambda line: with_less_rework(line, "z", 1), "station must be one of"),
    ],
)
def test_a_change_that_cannot_be_is_refused(call, said) -> None:
    with pytest.raises(ValueError, match=said):
        call(shop(1, limit=2, jobs=1))


def test_where_nobody_waits_nothing_limits() -> None:
    line = Line(
        (Station("bench", 1),),
        (Job("a", "a", (Step("bench", fixed(10)),)),),
        (Instrument("a"),),
    )
    found = simulate(line, 1, 3)
    assert found.limits().tolist() == [-1] * 3
    assert found.stations()[0].limits_share == 0
