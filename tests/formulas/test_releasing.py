"""Does what is started find room all the way, and is the longest way the longest?"""

from importlib import import_module
from typing import Any

import networkx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.formulas.forecast_lines import flow_line
from travelers.formulas import forecast as fc
from travelers.formulas.releasing import (
    DAY_S,
    Limit,
    Start,
    Wanted,
    filled,
    starts,
    there_by_day,
)

HORIZON = 40


@st.composite
def webs(draw: st.DrawFn) -> tuple[list[float], list[tuple[int, int]]]:
    """Draw lengths of stretches of work, and which of them wait for which."""
    count = draw(st.integers(1, 9))
    lengths = draw(st.lists(st.integers(0, 400), min_size=count, max_size=count))
    pairs = [(a, b) for b in range(count) for a in range(b)]
    edges = draw(st.lists(st.sampled_from(pairs), unique=True)) if pairs else []
    return [float(one) for one in lengths], edges


@given(webs())
@settings(max_examples=150, deadline=None)
def test_alone_an_order_takes_its_longest_way(
    web: tuple[list[float], list[tuple[int, int]]],
) -> None:
    """With places for all, and no chance, the finish is networkx's longest path."""
    lengths, edges = web
    jobs = tuple(
        fc.Job(
            str(n),
            "one",
            (
                fc.Step("bench", work=fc.fixed(length / 2)),
                fc.Step(None, dwell=fc.fixed(length / 2)),
            ),
            joins=tuple(str(a) for a, b in edges if b == n),
        )
        for n, length in enumerate(lengths)
    )
    line = fc.Line((fc.Station("bench", 1000),), jobs, (fc.Instrument("one"),))
    graph: networkx.DiGraph[Any] = networkx.DiGraph()
    for n, length in enumerate(lengths):
        graph.add_edge((n, "start"), (n, "end"), weight=length)
    graph.add_edges_from(((a, "end"), (b, "start"), {"weight": 0}) for a, b in edges)
    longest = networkx.dag_longest_path_length(graph)
    assert fc.stays(line, 1, 1).finishes_s.tolist() == [[pytest.approx(longest)]]


def test_stays_are_those_that_a_trace_writes_down() -> None:
    line = flow_line(3)
    found = fc.stays(line, 5, 4, ["s0", "s2"])
    for future in range(4):
        log = fc.trace(line, 5, future)
        for name in ("s0", "s2"):
            told = [(one.start_s, one.end_s) for one in log if one.station == name]
            assert [tuple(row) for row in found.lain_s[name][future]] == told
            assert told
    assert (found.finishes_s == fc.simulate(line, 5, 4).finishes_s).all()


def test_a_log_that_is_too_small_is_made_larger(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    line = flow_line(4)
    whole = fc.stays(line, 1, 2, ["s1"])
    module = import_module("travelers.formulas.forecast.stays")
    monkeypatch.setattr(module, "_FIRST_ROOM", 3)
    again = fc.stays(line, 1, 2, ["s1"])
    for one, other in zip(whole.lain_s["s1"], again.lain_s["s1"], strict=True):
        assert (one == other).all()


@pytest.mark.parametrize(
    ("futures", "stations", "said"), [(0, (), "futures"), (1, ("nowhere",), "station")]
)
def test_what_cannot_be_lived_through_is_refused(
    futures: int, stations: tuple[str, ...], said: str
) -> None:
    with pytest.raises(ValueError, match=said):
        fc.stays(flow_line(1), 1, futures, stations)


spans = st.lists(
    st.tuples(st.integers(0, 30 * DAY_S), st.integers(0, 20 * DAY_S)), max_size=12
)


@given(spans, st.integers(0, DAY_S - 1))
def test_who_is_there_is_counted_on_each_day_that_is_touched(
    drawn: list[tuple[int, int]], offset: int
) -> None:
    both = np.array([(a, a + b) for a, b in drawn], float).reshape(-1, 2)
    found = there_by_day(both, HORIZON, offset_s=offset)
    for day in range(HORIZON):
        first, end = day * DAY_S - offset, (day + 1) * DAY_S - offset
        there = sum(1 for a, b in both if a < end and b >= first)
        assert found[day] == there


@st.composite
def plans(draw: st.DrawFn) -> tuple[list[Wanted], list[Limit], list[bool], float]:
    """Draw things that wait, limits that are partly filled, and days that are open."""
    futures = draw(st.integers(1, 5))
    chance = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    most = [int(n) for n in chance.integers(2, 7, 2)]
    limits = [
        Limit(
            name,
            top,
            np.minimum(chance.integers(0, 4, (futures, HORIZON)), top),
        )
        for name, top in zip(("floor", "room"), most, strict=True)
    ]
    wanted = []
    for n in range(draw(st.integers(1, 6))):
        stay = int(chance.integers(1, 9))
        uses = {
            "floor": np.ones((futures, stay), int) * int(chance.integers(1, 4)),
            "room": chance.integers(0, 3, (futures, stay)),
        }
        wanted.append(Wanted(str(n), int(chance.integers(-5, HORIZON)), uses))
    opened = [bool(n) for n in chance.integers(0, 4, HORIZON)]
    return wanted, limits, opened, draw(st.sampled_from([0.5, 0.8, 1.0]))


def counted(wanted: list[Wanted], limit: Limit, found: dict[str, Start]) -> Any:
    """Count what is there day by day, another way than the plan does."""
    there = np.array(limit.taken)
    for one in wanted:
        day = found[one.name].day
        if day is None:
            continue
        for after, use in enumerate(one.uses[limit.name].T):
            if day + after < HORIZON:
                there[:, day + after] += use
    return there


@given(plans())
@settings(max_examples=200, deadline=None)
def test_at_no_moment_is_more_there_than_may_be(
    plan: tuple[list[Wanted], list[Limit], list[bool], float],
) -> None:
    wanted, limits, opened, certainty = plan
    found = starts(wanted, limits, certainty=certainty, open_days=opened)
    assert set(found) == {one.name for one in wanted}
    for one in found.values():
        assert one.day is None or opened[one.day]
    for limit in limits:
        there = counted(wanted, limit, found)
        own = there - limit.taken
        over = (there > limit.most).mean(axis=0)
        assert (over[own.any(axis=0)] <= 1 - certainty + 1e-9).all()


@given(plans())
@settings(max_examples=100, deadline=None)
def test_each_starts_on_the_latest_day_in_time_or_the_next(
    plan: tuple[list[Wanted], list[Limit], list[bool], float],
) -> None:
    """Every day that would be better was tried by itself, and is full."""
    wanted, limits, opened, certainty = plan
    found = starts(wanted, limits, certainty=certainty, open_days=opened)
    before: list[tuple[Any, int]] = []
    for one in sorted(wanted, key=lambda one: one.latest):
        given_day = found[one.name].day
        rooms = filled(limits, before)

        def fits(day: int, one: Wanted = one, rooms: tuple[Limit, ...] = rooms) -> bool:
            alone = {one.name: Start(day)}
            return all(
                (
                    ((there := counted([one], room, alone)) > room.most).mean(axis=0)[
                        (there - room.taken).any(axis=0)
                    ]
                    <= 1 - certainty + 1e-9
                ).all()
                for room in rooms
            )

        free = [day for day in range(HORIZON) if opened[day] and fits(day)]
        early = [day for day in free if day <= one.latest]
        late = [day for day in free if day > one.latest]
        best = early[-1] if early else (late[0] if late else None)
        assert given_day == best
        if given_day is not None:
            before.append((one.uses, given_day))


def test_what_held_something_back_is_named() -> None:
    floor = Limit("floor", 2, np.zeros((1, HORIZON), int))
    room = Limit("room", 1, np.ones((1, HORIZON), int))
    room.taken[:, 20:] = 0
    one = Wanted("a", 5, {"room": np.ones((1, 3), int), "floor": np.ones((1, 3), int)})
    free = Wanted("b", 7, {"floor": np.ones((1, 3), int)})
    large = Wanted("c", 7, {"floor": np.full((1, 3), 3)})
    found = starts(
        [one, free, large], [floor, room], certainty=0.8, open_days=[True] * HORIZON
    )
    assert found == {
        "a": Start(20, "room"),
        "b": Start(7, ""),
        "c": Start(None, "floor"),
    }


@pytest.mark.parametrize("certainty", [0, 1.01, float("nan")])
def test_a_certainty_that_is_none_is_refused(certainty: float) -> None:
    with pytest.raises(ValueError, match="certainty"):
        starts([], [], certainty=certainty, open_days=[])
