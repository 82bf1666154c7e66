"""Does the forecast keep what holds on the floor: places, hours, dwells, mates?"""

import errno
import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numba.core import caching

from tests.formulas.forecast_lines import HOUR, flow_line, on_one_bench, shop
from travelers.formulas.forecast import (
    At,
    Done,
    Hours,
    Instrument,
    Job,
    Line,
    Rule,
    Station,
    Step,
    compare,
    compiled,
    fixed,
    gamma,
    hours,
    in_slices,
    quantiles,
    sample,
    simulate,
    trace,
    weekly,
)
from travelers.formulas.forecast.compiled import digest, interpreted, kernel
from travelers.formulas.forecast.floor import floor_of

DAY = 24 * HOUR
EIGHT_TO_FOUR = weekly(
    [(day * DAY + 8 * HOUR, day * DAY + 16 * HOUR) for day in range(5)], closed_days=[2]
)
ODD = hours([(0, 5000), (7000, 20_000)], repeats_s=30_000)

# --- Any floors at all


SECONDS = st.integers(0, 20_000)
TIME = st.one_of(SECONDS.map(fixed), st.builds(gamma, SECONDS, st.just(0.5)))


@st.composite
def lines(draw, fails: bool = True, begun: bool = False) -> Line:
    """Draw a small floor: stations, jobs with joins, coats, rework, scrap.

    Where they may be begun, no two are on a place of one station.
    """
    stations = tuple(
        Station(
            f"s{n}",
            draw(st.integers(1, 2)),
            draw(st.sampled_from([hours([(0, 604_800)]), EIGHT_TO_FOUR, ODD])),
            is_holding=draw(st.booleans()),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    share = st.sampled_from([0.0, 0.0, 0.3]) if fails else st.just(0.0)
    names = [one.name for one in stations]
    jobs: list[Job] = []
    free: set[str] = set()
    taken: set[str] = set()
    for n in range(draw(st.integers(2, 7))):
        steps = tuple(
            Step(
                station := draw(st.sampled_from([*names, names[0], names[0], None])),
                work=draw(TIME) if station else fixed(0),
                dwell=draw(TIME),
                not_before=draw(st.none() | SECONDS.map(fixed)),
                times=draw(st.sampled_from([1, 1, 3])),
                gap=fixed(draw(SECONDS)),
                scrap=draw(share),
                rework=draw(share),
                back_to=draw(st.integers(0, number)),
            )
            for number in range(draw(st.integers(1, 4)))
        )
        some = st.sets(st.sampled_from(sorted(free) or [""]), max_size=2)
        mates = draw(some) if free else set()
        free -= mates
        free.add(f"j{n}")
        jobs.append(
            Job(
                f"j{n}",
                "a",
                steps,
                release_s=draw(st.sampled_from([0, 0, 9000])),
                joins=tuple(sorted(mates)),
                **(draw(begun_as(steps, taken)) if begun and not mates else {}),
                rank=draw(st.integers(-1, 1)),
            )
        )
    rule = draw(st.sampled_from(Rule))
    owner = Instrument("a", due_s=draw(st.sampled_from([50_000, math.inf])))
    return Line(stations, tuple(jobs), (owner,), rule=rule, weeks=3)


@st.composite
def begun_as(draw, steps: tuple[Step, ...], taken: set[str]) -> dict[str, Any]:
    """Say how far a job has come; a station whose place it may keep is taken then."""
    done = draw(st.integers(0, len(steps) - 1))
    station = steps[done].station
    ways = [At.WAITING]
    if station not in taken:
        ways += [At.DWELLING, *([At.WORKING] if station else [])]
    at = draw(st.sampled_from(ways))
    if at != At.WAITING and station:
        taken.add(station)
    coats = draw(st.integers(0, steps[done].times - 1))
    return {"done": done, "coats": coats, "at": at, "spent_s": draw(SECONDS)}


def is_open(at: Hours, moment: float) -> bool:
    """Say whether a moment is open, told from the hours alone."""
    if moment >= at.ends_s:
        moment -= at.repeats_s * math.ceil((moment - at.ends_s + 1e-9) / at.repeats_s)
    return any(start <= moment < until for start, until in at.opens)


def open_between(at: Hours, start: float, end: float) -> float:
    """Count the open seconds between two moments, told from the hours alone."""
    edges = {start, end}
    for turn in range(math.ceil(max(0, end - at.ends_s) / at.repeats_s) + 1):
        for span in at.opens:
            edges.update(one + turn * at.repeats_s for one in span)
    inside = sorted(one for one in edges if start <= one <= end)
    return sum(b - a for a, b in pairwise(inside) if is_open(at, (a + b) / 2))


def by_job(done: tuple[Done, ...]) -> dict[str, list[Done]]:
    found: dict[str, list[Done]] = {}
    for one in done:
        found.setdefault(one.job, []).append(one)
    return found


@settings(max_examples=80, deadline=None)
@given(lines(begun=True), st.integers(0, 1000))
def test_no_station_holds_more_than_its_places(line: Line, seed: int) -> None:
    assert too_full(line, seed) == []


@pytest.mark.parametrize("seed", range(8))
def test_no_busy_station_holds_more_than_its_places(seed: int) -> None:
    """Floors on which nearly all wait: few places, the limit loaded fully."""
    for line in (flow_line(seed), shop(seed, limit=seed, others=0.95)):
        assert too_full(line, seed) == []
        assert sum(one.start_s > one.ready_s for one in trace(line, seed)) > 50


def too_full(line: Line, seed: int) -> list[str]:
    """Name the stations that hold more than their places at some moment."""
    done = trace(line, seed)
    found = []
    for station in line.stations:
        moves = []
        for one in done:
            if one.station == station.name:
                moves += [(one.start_s, 1), (one.end_s, -1)]
        held = np.cumsum([move for _, move in sorted(moves)])
        if held.max(initial=0) > station.places:
            found.append(station.name)
    return found


@settings(max_examples=80, deadline=None)
@given(lines(), st.integers(0, 1000))
def test_nothing_begins_or_leaves_while_closed_or_before_its_turn(line, seed) -> None:
    stations = {one.name: one for one in line.stations}
    releases = {job.name: job.release_s for job in line.jobs}
    for name, own in by_job(trace(line, seed)).items():
        assert own[0].start_s >= releases[name]
        for before, after in pairwise(own):
            assert after.start_s >= before.end_s
            assert after.start_s >= after.ready_s >= before.end_s - 1e-6
        for one in own:
            if one.station:
                station = stations[one.station]
                assert is_open(station.hours, one.start_s)
                # A part is taken out while it is open; work ends at closing at latest.
                just = one.end_s if station.is_holding else one.end_s - 1e-3
                assert one.end_s == one.start_s or is_open(station.hours, just)


@settings(max_examples=80, deadline=None)
@given(lines(fails=False), st.integers(0, 1000))
def test_work_dwells_gaps_and_moments_are_kept(line, seed) -> None:
    stations = {one.name: one for one in line.stations}
    done = by_job(trace(line, seed))
    for job in line.jobs:
        coats = [
            (step, coat == 0, coat == step.times - 1)
            for step in job.steps
            for coat in range(step.times)
        ]
        own = done[job.name]
        assert {one.step for one in own} == set(range(len(coats)))
        for number, (step, is_first, is_last) in enumerate(coats):
            parts = [one for one in own if one.step == number]
            if is_first and step.not_before:
                assert parts[0].start_s >= step.not_before.scale_s
            dwell = step.dwell if is_last else step.gap
            if not dwell.cv and not step.work.cv:
                lasted = parts[-1].end_s - parts[0].start_s
                assert lasted >= dwell.scale_s + step.work.scale_s - 1e-6
            station = stations.get(step.station or "")
            if station and not station.is_holding and not step.work.cv:
                at, one = station.hours, parts[0]
                worked = open_between(at, one.start_s, one.end_s)
                assert worked == pytest.approx(step.work.scale_s, abs=1e-3)
                if dwell.scale_s and not dwell.cv:
                    assert parts[1].start_s == one.end_s
                    gone = parts[1].end_s - parts[1].start_s
                    assert gone == pytest.approx(dwell.scale_s, abs=1e-6)
        for mate in job.joins:
            assert own[0].start_s >= done[mate][-1].end_s


@settings(max_examples=80, deadline=None)
@given(lines(begun=True), st.integers(0, 1000))
def test_times_add_up_and_little_s_law_holds(line, seed) -> None:
    found = simulate(line, seed, 3)
    assert found.little[:, 0] == pytest.approx(found.little[:, 1], rel=1e-9, abs=1e-6)
    way = found.ways()["a"]
    spent = [getattr(way, name) for name in way.__slots__]
    assert sum(spent) == pytest.approx(found.finishes_s.mean(), rel=1e-9, abs=1e-6)
    assert min(spent) > -1e-6
    parts = found.parts()["a"]
    assert min(getattr(parts, name) for name in parts.__slots__) > -1e-6
    taken = sum(sum(one.busy_h_by_week) for one in found.stations()) * 3600
    assert taken * 3 == pytest.approx(found.told["busy_s"].sum(), rel=1e-9, abs=1e-3)
    queued = sum(sum(one.queue_by_week) for one in found.stations()) * 7 * DAY
    assert queued * 3 == pytest.approx(found.told["waited_s"].sum(), rel=1e-9, abs=1e-3)


@settings(max_examples=40, deadline=None)
@given(lines(begun=True), st.integers(0, 1000))
def test_the_compiled_kernel_does_what_its_source_says(line, seed) -> None:
    floor = floor_of(line)
    ours, plain = floor.world(2), floor.world(2)
    happened = kernel(keep=True)(ours, np.uint64(seed), 0, 2)
    with np.errstate(over="ignore"):
        assert interpreted()(plain, np.uint64(seed), 0, 2) == happened
    for name in ("finishes", "limits", "little", "busy", "queue", "paths", "parts"):
        assert np.array_equal(getattr(ours, name), getattr(plain, name)), name


@settings(max_examples=60, deadline=None)
@given(
    st.integers(1, 9),
    st.lists(st.none() | st.tuples(st.integers(0, 8), st.integers(0, 3)), max_size=40),
)
def test_the_earliest_event_is_next_and_of_several_the_lowest(jobs, moves) -> None:
    line = Line(
        (Station("s", 1),),
        tuple(Job(f"{n}", f"{n}", (Step("s"),)) for n in range(jobs)),
        tuple(Instrument(f"{n}") for n in range(jobs)),
    )
    world = floor_of(line).world(1)
    run: Any = interpreted()
    push, pop = (run.__globals__[name] for name in ("push_event", "pop_event"))
    noted: dict[int, float] = {}
    state, clock = world.state[0], 0.0
    state.over = -1
    for move in [*moves, *[None] * (jobs + 2)]:
        if move is None:
            event = pop(world.keys, world.firsts, state)
            clock, due = min(((at, n) for n, at in noted.items()), default=(clock, -1))
            assert (event, state.clock) == (due, clock)
            noted.pop(event, None)
        elif move[0] <= jobs and move[0] not in noted:
            noted[move[0]] = clock + move[1]
            push(world.keys, world.firsts, state, clock + move[1], move[0])


# --- Reckoned by hand


def test_work_stops_at_closing_and_goes_on_at_the_next_opening() -> None:
    at = weekly([(8 * HOUR, 16 * HOUR), (DAY + 8 * HOUR, DAY + 16 * HOUR)])
    steps = (Step("bench", fixed(7 * HOUR)), Step("bench", fixed(3 * HOUR)))
    line = replace(on_one_bench(steps), stations=(Station("bench", 1, at),))
    ends = [one.end_s / HOUR for one in trace(line, 1)]
    assert ends == [15, 24 + 10]
    way = simulate(line, 1, 1).ways()["a"]
    assert (way.work_s, way.closed_s) == (10 * HOUR, 24 * HOUR)
    assert simulate(line, 1, 1).stations()[0].open_h_by_week[:2] == (16, 16)


def test_a_dwell_runs_at_night_but_is_taken_out_by_day() -> None:
    at = weekly([(8 * HOUR, 16 * HOUR)])
    line = on_one_bench([Step("bench", dwell=fixed(10 * HOUR))])
    line = replace(line, stations=(Station("bench", 1, at, is_holding=True),))
    (done,) = trace(line, 1)
    assert (done.start_s, done.end_s) == (8 * HOUR, (7 * 24 + 8) * HOUR)
    line = replace(line, stations=(Station("bench", 1, at),))
    assert [one.end_s / HOUR for one in trace(line, 1)] == [8, 18]


def test_coats_keep_their_gap() -> None:
    line = on_one_bench(
        [Step("bench", fixed(1), dwell=fixed(50), times=3, gap=fixed(10))]
    )
    assert simulate(line, 1, 1).finishes_s.item() == 1 + 10 + 1 + 10 + 1 + 50


def order_of(jobs: tuple[Job, ...], dues: tuple[float, ...], rule: Rule) -> list[str]:
    owners = tuple(
        Instrument(job.name, due_s=due) for job, due in zip(jobs, dues, strict=True)
    )
    line = Line((Station("bench", 1),), jobs, owners, rule=rule)
    return [one.job for one in trace(line, 1) if one.step == 0]


def test_who_is_taken_next() -> None:
    one, two = Step("bench", fixed(10)), Step("bench", fixed(70))
    jobs = (Job("a", "a", (one,)), Job("b", "b", (one, two)), Job("c", "c", (one,)))
    assert order_of(jobs, (90, 100, 95), Rule.FIRST_COME) == ["a", "b", "c"]
    # Slack at the start: a 90 - 10, b 100 - 80, c 95 - 10.
    assert order_of(jobs, (90, 100, 95), Rule.LEAST_SLACK) == ["b", "a", "c"]
    pinned = (*jobs[:2], replace(jobs[2], rank=-1))
    assert order_of(pinned, (90, 100, 95), Rule.LEAST_SLACK) == ["c", "b", "a"]
    waited = (*jobs[:2], replace(jobs[2], spent_s=5))
    assert order_of(waited, (90, 100, 95), Rule.FIRST_COME) == ["c", "a", "b"]


def test_rework_and_scrap_take_their_turns_and_then_pass() -> None:
    steps = [Step("bench", fixed(10)), Step("bench", fixed(1), rework=1.0, back_to=0)]
    line = replace(on_one_bench(steps), most_turns=2)
    assert simulate(line, 1, 1).finishes_s.item() == 33
    steps = [Step("bench", fixed(10)), Step("bench", fixed(1), scrap=1.0)]
    line = replace(on_one_bench(steps, afresh=1), most_turns=4)
    assert simulate(line, 1, 1).finishes_s.item() == 10 + 5


def test_what_is_thrown_away_after_a_join_is_made_of_new_parts() -> None:
    body = Job("body", "a", (Step(None, dwell=fixed(100)),))
    neck = Job("neck", "a", (Step(None, dwell=fixed(60)),))
    last = Step(None, dwell=fixed(1), scrap=1.0)
    whole = Job("all", "a", (last,), joins=("body", "neck"))
    line = Line((), (body, neck, whole), (Instrument("a"),), most_turns=1)
    found = simulate(line, 1, 1)
    assert found.finishes_s.item() == 202
    assert found.ways()["a"].dwell_s == 202
    assert found.parts()["a"].mates_s == 80


def test_what_is_begun_goes_on_with_what_is_still_possible() -> None:
    step = Step("bench", work=sample([10, 10, 10, 50]), dwell=fixed(5))
    working = on_one_bench([step], at=At.WORKING, spent_s=12)
    assert simulate(working, 1, 50).finishes_s.tolist() == [[43.0]] * 50
    dwelling = on_one_bench([step], at=At.DWELLING, spent_s=3)
    assert simulate(dwelling, 1, 1).finishes_s.item() == 2
    # Exponential times forget (textbooks): what is left is spread like the whole.
    step = Step("bench", work=gamma(100, 1.0))
    left = simulate(on_one_bench([step], at=At.WORKING, spent_s=150), 1, 4000)
    assert left.finishes_s.mean() == pytest.approx(100, rel=0.05)
    assert np.median(left.finishes_s) == pytest.approx(100 * math.log(2), rel=0.07)


def test_wood_that_waits_for_its_day_waits_on() -> None:
    step = Step("bench", fixed(10), not_before=fixed(100))
    assert simulate(on_one_bench([step], spent_s=5), 1, 1).finishes_s.item() == 110
    lies = on_one_bench([Step(None, dwell=fixed(10))], spent_s=5)
    assert simulate(lies, 1, 1).finishes_s.item() == 10


def test_a_wait_is_told_by_its_length_and_its_age() -> None:
    """Two wait 10 and 20 s behind the first: 30 s of waiting in all, 250 s² of age."""
    jobs = tuple(Job(f"j{n}", f"j{n}", (Step("bench", fixed(10)),)) for n in range(3))
    owners = tuple(Instrument(job.name, "o", due_s=15) for job in jobs)
    found = simulate(Line((Station("bench", 1),), jobs, owners), 1, 4)
    (bench,) = found.stations()
    assert (bench.wait_s, bench.limits_share, bench.way_wait_s) == (10, 1, 10)
    assert bench.queue_age_s == pytest.approx((100 + 400) / 2 / 30)
    assert bench.busy_h_by_week[0] == pytest.approx(30 / 3600)
    assert found.late_shares() == {"j0": 0, "j1": 1, "j2": 1}
    assert found.quantiles_s()["j1"] == (20, 20, 20)
    assert found.order_quantiles_s() == {"o": (30, 30, 30)}


# --- Chance


def test_a_seed_gives_the_same_futures_at_once_or_in_pieces() -> None:
    line = flow_line(1)
    whole = simulate(line, 7, 30)
    *_, pieces = in_slices(line, 7, 30, size=7)
    later = simulate(line, 7, 10, first=20)
    assert np.array_equal(whole.finishes_s, pieces.finishes_s)
    assert np.array_equal(whole.finishes_s[20:], later.finishes_s)
    assert pieces.busy_s == pytest.approx(whole.busy_s)
    assert pieces.events == whole.events
    assert not np.array_equal(whole.finishes_s, simulate(line, 8, 30).finishes_s)
    assert len(set(whole.finishes_s[:, 0].tolist())) == 30


def durations(line: Line, seed: int) -> dict[tuple[str, int, int], float]:
    """Give how long each job's step lasted, by how often it was there."""
    found: dict[tuple[str, int, int], float] = {}
    for one in trace(line, seed):
        turn = sum(1 for job, step, _ in found if (job, step) == (one.job, one.step))
        found[one.job, one.step, turn] = round(one.end_s - one.start_s, 6)
    return found


def test_what_is_changed_at_one_station_leaves_all_other_draws() -> None:
    line = flow_line(2, jobs=25)
    reworked = tuple(
        replace(job, steps=(*job.steps[:-1], replace(job.steps[-1], rework=0.3)))
        for job in line.jobs
    )
    line = replace(line, jobs=reworked)
    more = (replace(line.stations[0], places=9), *line.stations[1:])
    assert durations(replace(line, stations=more), 3) == durations(line, 3)
    turned = replace(line, jobs=line.jobs[::-1])
    assert durations(turned, 3) == durations(line, 3)
    fewer = replace(line, most_turns=0)
    here, there = durations(line, 3), durations(fewer, 3)
    assert set(there) < set(here)
    assert all(here[key] == lasted for key, lasted in there.items())


def test_the_same_luck_tells_a_small_change_from_none() -> None:
    """One more place where it helps little: told from none, by the same luck alone."""
    here = shop(1, limit=2)
    found = compare(here, shop(1, limit=2, more=6), 1, 60).finish_s
    assert found.low <= found.mean <= found.high < 0
    assert found.mean + found.apart * (found.high - found.mean) > 0
    same = compare(here, here, 1, 5)
    assert (same.finish_s.mean, same.finish_s.low, same.finish_s.high) == (0, 0, 0)


# --- Refusals


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: fixed(-1), "seconds must be finite and 0 or more, got -1"),
        (lambda: gamma(1, 4), "cv must be from 0 to 3, got 4"),
        (lambda: sample([]), "seconds must be at least 1, got 0"),
        (lambda: quantiles([1]), "seconds must be at least 2, got 1"),
        (lambda: hours([]), "opens must hold a time in what is repeated"),
        (lambda: weekly([(0, 9)], weeks=0), "weeks must be at least 1, got 0"),
        (lambda: Hours(((5, 3),), 9, 9), "opens must be in order"),
        (lambda: Hours(((1, 3),), 9, 0), "repeats_s must be above 0"),
        (lambda: Station("a", 0), "places must be at least 1, got 0"),
        (lambda: Step("a", times=0), "times must be at least 1, got 0"),
        (lambda: Step("a", scrap=0.6, rework=0.6), "scrap and rework must be from 0"),
        (lambda: on_one_bench([]), "done must be from 0 to below 0"),
        (
            lambda: on_one_bench([Step("bench")], done=1),
            "done must be from 0 to below 1",
        ),
        (
            lambda: on_one_bench([Step("bench")], coats=1),
            "coats must be from 0 to below",
        ),
        (lambda: on_one_bench([Step("bench")], afresh=1), "afresh must be a step"),
        (
            lambda: on_one_bench([Step("bench")], spent_s=-1),
            "spent_s must be 0 or more",
        ),
        (
            lambda: on_one_bench([Step("bench")], release_s=math.nan),
            "release_s must be finite",
        ),
        (
            lambda: on_one_bench([Step("bench", rework=0.5, back_to=1)]),
            "back_to must be from 0 to 0, got 1",
        ),
        (lambda: Line((), (), (), most_turns=61), "most_turns must be from 0 to 60"),
        (lambda: Line((), (), (), weeks=0), "weeks must be at least 1, got 0"),
        (lambda: simulate(flow_line(1), -1, 1), "seed must be from 0"),
        (lambda: simulate(flow_line(1), 1, 0), "futures must be at least 1, got 0"),
        (lambda: simulate(flow_line(1), 1, 1, first=-1), "first must be 0 or more"),
        (lambda: next(in_slices(flow_line(1), 1, 1, size=0)), "size must be at least"),
        (
            lambda: compare(flow_line(1), flow_line(1), 1, 1),
            "futures must be at least 2",
        ),
        (
            lambda: compare(flow_line(1), flow_line(1, jobs=3), 1, 2),
            "there must have the same instruments",
        ),
        (
            lambda: compare(flow_line(1), flow_line(1), 1, 2, confidence=1),
            "confidence must be between 0 and 1, got 1",
        ),
        (
            lambda: simulate(flow_line(1), 1, 1).quantiles_s([2]),
            "odds must be from 0 to 1, got 2",
        ),
    ],
)
def test_what_is_out_of_range_is_refused(call, said) -> None:
    with pytest.raises(ValueError, match=said):
        call()


def joined(**given) -> Line:
    """Make a body and what it is joined into, with some part changed."""
    body = Job("body", "a", (Step("bench"),))
    whole = Job("whole", "a", (Step("bench"),), joins=("body",))
    jobs = given.get("jobs") or (body, replace(whole, **given.get("whole", {})))
    owners = tuple(Instrument(name) for name in given.get("owners", "a"))
    return Line((Station("bench", 1),), jobs, owners)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (joined(whole={"name": "body"}), "names must differ, got two of job 'body'"),
        (joined(whole={"instrument": "z"}), "instrument must be one of the line"),
        (joined(whole={"joins": ("z",)}), "joins must name jobs of the line, got 'z'"),
        (joined(whole={"joins": ("whole",)}), "edges must not run in a ring"),
        (joined(whole={"spent_s": 1}), "joins must be empty for a job that is begun"),
        (joined(whole={"steps": (Step("z"),)}), "station must be one of the line"),
        (joined(whole={"steps": (Step(None, fixed(1)),)}), "work must be at a station"),
        (
            on_one_bench([Step(None)], at=At.WORKING),
            "at must not be WORKING without a station for a",
        ),
        (joined(owners="ab"), "instruments must have a job each, got none for 'b'"),
        (
            joined(
                jobs=(
                    Job("body", "a", (Step("bench"),)),
                    Job("x", "a", (Step("bench", scrap=0.5),), joins=("body",)),
                    Job("y", "a", (Step("bench"),), joins=("body",)),
                )
            ),
            "scrap must be 0 for a job made of one that others wait for too",
        ),
    ],
)
def test_a_line_that_does_not_hold_together_is_refused(line, said) -> None:
    with pytest.raises(ValueError, match=said):
        simulate(line, 1, 1)


# --- How it is kept


@pytest.fixture
def afresh() -> Iterator[None]:
    """Forget what this process has compiled, before and after."""
    kernel.cache_clear()
    yield
    kernel.cache_clear()


@pytest.mark.usefixtures("afresh")
def test_without_a_folder_to_keep_it_in_it_is_compiled_anew(monkeypatch) -> None:
    """Numba finds no folder, as for a user without a home on a read-only disk."""
    monkeypatch.setattr(caching.CacheImpl, "_locator_classes", [])
    with pytest.raises(RuntimeError, match="no locator available"):
        numba.njit(cache=True)(on_one_bench)
    assert kernel(keep=True).stats.cache_path is None


@pytest.mark.usefixtures("afresh")
def test_with_a_full_disk_it_is_lived_through_all_the_same(monkeypatch) -> None:
    """What is kept fails; the same line is then lived through by what is not kept."""
    line = on_one_bench([Step("bench", fixed(10))])
    calls = []

    def full(*_, **__) -> None:
        calls.append(1)
        raise OSError(errno.ENOSPC, "No space left on device")

    plain = kernel(keep=True)  # stands for the other: compiling takes long
    monkeypatch.setattr(compiled, "kernel", lambda keep: full if keep else plain)
    assert simulate(line, 1, 1).finishes_s.item() == 10
    assert calls == [1]


def test_what_is_kept_is_named_by_what_the_sources_hold() -> None:
    assert kernel(keep=True).__qualname__ == f"run_{digest()}"
