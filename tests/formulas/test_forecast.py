"""Does the forecast agree with queueing theory and with other simulators?"""

import math
from random import Random
from statistics import fmean, stdev

import networkx as nx
import numpy as np
import pytest
from scipy import stats

from tests.formulas.forecast_lines import (
    by_ciw,
    by_simpy,
    drawn_anew,
    flow_line,
    single,
)
from travelers.formulas.flow import Queue, jackson, kingman, md1, mm1, mmc
from travelers.formulas.forecast import (
    Instrument,
    Job,
    Line,
    Station,
    Step,
    fixed,
    gamma,
    quantiles,
    sample,
    simulate,
    trace,
)
from travelers.formulas.graph import longest_path

RUNS = 20


def stays(line: Line, seed: int) -> np.ndarray:
    """Give how long each job was there, without the first tenth: it began empty."""
    comes = np.array([job.release_s for job in line.jobs])
    found = simulate(line, seed, 1).finishes_s[0] - comes
    return found[len(found) // 10 :]


def assert_near(values: list[float], expected: float, within: float) -> None:
    """Assert that a mean over runs is as expected, and known well enough to tell."""
    error = stdev(values) / math.sqrt(len(values))
    assert error < within * expected
    assert abs(fmean(values) - expected) < 3 * error


@pytest.mark.parametrize(
    ("theory", "places", "work"),
    [(mmc(3 * 0.7, 1, 3), 3, gamma(1.0, 1.0)), (md1(0.7, 1), 1, fixed(1.0))],
    ids=["M/M/3", "M/D/1"],
)
def test_one_station_is_as_theory_says(theory: Queue, places, work) -> None:
    """Means of 20 runs of 3,000 jobs: within three standard errors."""
    runs = [
        stays(single(seed, 3000, load=0.7, places=places, work=work), seed)
        for seed in range(RUNS)
    ]
    assert_near([float(run.mean()) for run in runs], theory.time_in_system, 0.03)


def test_a_station_with_exponential_work_is_as_theory_says() -> None:
    """In M/M/1 the time there is exponential (textbooks, from memory)."""
    runs = [stays(single(seed, 3000, load=0.7), seed) for seed in range(RUNS)]
    mean = mm1(0.7, 1).time_in_system
    assert_near([float(run.mean()) for run in runs], mean, 0.03)
    for odds in (0.5, 0.8, 0.95):
        expected = -math.log(1 - odds) * mean
        assert_near([float(np.quantile(run, odds)) for run in runs], expected, 0.04)


def test_one_station_is_near_the_rough_line() -> None:
    """Kingman's rough wait: exact for one place where jobs come by chance, by
    Pollaczek and Khinchine; of two places within a tenth (textbooks, from memory)."""
    for places, within in ((1, 0.0), (2, 0.1)):
        runs = [
            stays(
                single(seed, 3000, load=0.7, places=places, work=gamma(1.0, 0.5)), seed
            ).mean()
            for seed in range(RUNS)
        ]
        rough = kingman(0.7, 1, arrival_cv=1, work_cv=0.5, servers=places) + 1
        error = 3 * stdev(runs) / math.sqrt(RUNS)
        assert error < 0.1 * rough
        assert abs(fmean(runs) - rough) < error + within * rough


# Rework as routing: what is sent back by the second station comes to the first again.
def test_a_network_that_sends_back_is_as_jackson_says() -> None:
    way = (Step("saw", gamma(1.0, 1.0)), Step("spray", gamma(0.8, 1.0), rework=0.2))
    waits: list[list[float]] = [[], []]
    for seed in range(RUNS):
        comes = [job.release_s for job in single(seed, 3000, load=0.6).jobs]
        jobs = tuple(
            Job(f"{seed}/{n}", "all", way, release_s=at) for n, at in enumerate(comes)
        )
        stations = (Station("saw", 1), Station("spray", 1))
        line = Line(stations, jobs, (Instrument("all"),), most_turns=60)
        for place, one in enumerate(simulate(line, seed, 1).stations()):
            waits[place].append(one.wait_s)
    theory = jackson([0.6, 0], [1, 1 / 0.8], [1, 1], [[0, 1], [0.2, 0]])
    for own, expected in zip(waits, theory, strict=True):
        assert_near(own, expected.queue_wait, 0.05)


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("other", [by_simpy, by_ciw])
def test_with_the_same_times_other_simulators_finish_at_the_same_moments(
    seed, other
) -> None:
    pytest.importorskip("simpy" if other is by_simpy else "ciw")
    line = flow_line(seed)
    lasts = {}
    for one in trace(line, seed):
        lasts[one.job, one.step] = one.end_s - one.start_s
    names = [job.name for job in line.jobs]
    found = other(line, lambda job, step: lasts[names[job], step])
    assert simulate(line, seed, 1).finishes_s[0] == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize("other", [by_simpy, by_ciw])
def test_with_times_of_their_own_other_simulators_agree(other) -> None:
    """Mean and quantiles of the last job's finish, over futures of one flow line."""
    pytest.importorskip("simpy" if other is by_simpy else "ciw")
    line, chance = flow_line(3, jobs=25), Random(5)
    theirs = [
        other(line, drawn_anew(line, chance))[-1] - line.jobs[-1].release_s
        for _ in range(150)
    ]
    ours = simulate(line, 11, 4000).finishes_s[:, -1] - line.jobs[-1].release_s
    assert abs(fmean(theirs) - ours.mean()) < 3 * stdev(theirs) / math.sqrt(150)
    for odds in (0.5, 0.8, 0.95):
        below = sum(one <= np.quantile(ours, odds) for one in theirs)
        assert stats.binomtest(below, 150, odds).pvalue > 0.01
    assert stats.ks_2samp(theirs, ours).pvalue > 0.01


@pytest.mark.parametrize("cv", [0.1, 0.5, 1.0, 2.0])
def test_gamma_times_are_those_of_scipy(cv) -> None:
    steps = (Step(None, dwell=gamma(10.0, cv)),)
    jobs = tuple(Job(f"j{n}", "a", steps) for n in range(20_000))
    line = Line((), jobs, (Instrument("a"),))
    found = np.array([one.end_s for one in trace(line, 1)])
    told = stats.gamma(1 / cv**2, scale=10 * cv**2)
    assert stats.kstest(found, told.cdf).pvalue > 0.01
    assert found.mean() == pytest.approx(10, abs=4 * 10 * cv / math.sqrt(20_000))
    assert found.std() == pytest.approx(10 * cv, rel=0.06)


def test_samples_and_quantiles_are_drawn_as_given() -> None:
    steps = (
        Step(None, dwell=sample([1, 2, 2, 7])),
        Step(None, dwell=quantiles([0, 10, 30])),
    )
    jobs = tuple(Job(f"j{n}", "a", steps) for n in range(8000))
    done = trace(Line((), jobs, (Instrument("a"),)), 1)
    first = [round(one.end_s - one.start_s, 6) for one in done if one.step == 0]
    counts = [first.count(value) for value in (1, 2, 7)]
    assert stats.chisquare(counts, [2000, 4000, 2000]).pvalue > 0.01
    second = [one.end_s - one.start_s for one in done if one.step == 1]
    assert max(second) <= 30
    assert stats.binomtest(sum(v < 10 for v in second), 8000).pvalue > 0.01
    assert stats.binomtest(sum(v < 5 for v in second), 8000, 0.25).pvalue > 0.01


@pytest.mark.parametrize("seed", range(10))
def test_without_queues_the_last_finish_is_the_critical_path(seed) -> None:
    """Any jobs that wait for any others, against networkx and our own longest path."""
    chance = Random(seed)
    count = 30
    lasts = [chance.randint(0, 1000) for _ in range(count)]
    edges = {
        (a, b)
        for b in range(count)
        for a in chance.sample(range(b), min(b, chance.randint(0, 3)))
    }
    jobs = tuple(
        Job(
            f"j{n}",
            "a",
            (Step("bench", work=fixed(lasts[n])),),
            joins=tuple(f"j{a}" for a, b in sorted(edges) if b == n),
        )
        for n in range(count)
    )
    graph: nx.DiGraph = nx.DiGraph()
    graph.add_nodes_from([*range(count), "end"])
    graph.add_edges_from((a, b, {"weight": lasts[a]}) for a, b in edges)
    graph.add_edges_from((n, "end", {"weight": lasts[n]}) for n in range(count))
    line = Line((Station("bench", count),), jobs, (Instrument("a"),))
    found = simulate(line, 1, 1)
    assert found.finishes_s[0, 0] == nx.dag_longest_path_length(graph)
    assert found.finishes_s[0, 0] == longest_path(dict(enumerate(lasts)), edges).length
    assert found.ways()["a"].work_s == found.finishes_s[0, 0]
