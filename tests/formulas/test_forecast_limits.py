"""Is the station that limits named, and is what one more place brings foretold?"""

import pytest

from tests.formulas.forecast_lines import shop
from travelers.formulas.forecast import (
    Instrument,
    Job,
    Line,
    Station,
    Step,
    compared,
    fixed,
    simulate,
)


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


def test_where_nobody_waits_nothing_limits() -> None:
    line = Line(
        (Station("bench", 1),),
        (Job("a", "a", (Step("bench", fixed(10)),)),),
        (Instrument("a"),),
    )
    found = simulate(line, 1, 3)
    assert found.limits().tolist() == [-1] * 3
    assert found.stations()[0].limits_share == 0
