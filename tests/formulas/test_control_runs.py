"""Do the run rules find every pattern, no other, and as often as chance makes them?"""

import json
import math
import statistics
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.control import (
    NELSON,
    WESTERN_ELECTRIC,
    Rule,
    Signal,
    run_rules,
)

DATA = Path(__file__).parent / "data"
SEQUENCES = json.loads((DATA / "run_rule_sequences.json").read_text(encoding="utf-8"))
MANY = 1_000_000
EVERY = (*NELSON, *WESTERN_ELECTRIC)


# Sequences made for Nelson (1984), Journal of Quality Technology 16(4):237-239, and for
# the Western Electric rules as in NIST/SEMATECH e-Handbook 6.3.2; the first points that
# signal (counted from 1) were found apart from this project by two programs that agree.
@pytest.mark.parametrize("row", SEQUENCES, ids=lambda row: row["name"])
@pytest.mark.parametrize("family", ["nelson", "western_electric"])
def test_rules_signal_first_where_others_found_them_to(row: dict, family: str) -> None:
    rules = NELSON if family == "nelson" else WESTERN_ELECTRIC
    for center, sigma in ((0.0, 1.0), (650.0, 0.25)):
        points = [center + sigma * z for z in row["points"]]
        first: dict[str, int] = {}
        for one in run_rules(points, center, sigma, rules):
            first.setdefault(one.rule.removeprefix(f"{family}_"), one.index + 1)
        assert first == row[family]


# --- an independent slow count: each rule read out point by point ---------------------


def beyond(count: int, line: float) -> Callable[[list[float]], bool]:
    """Ask for so many of the window on one side beyond a line, the last among them."""
    return lambda window: any(
        sum(side * x > line for x in window) >= count and side * window[-1] > line
        for side in (1, -1)
    )


def steady(window: list[float]) -> bool:
    return sorted(set(window)) in (window, window[::-1])


def zigzag(window: list[float]) -> bool:
    triples = zip(window, window[1:], window[2:], strict=False)
    return all((a < b > c) or (a > b < c) for a, b, c in triples)


def within(window: list[float]) -> bool:
    return all(abs(x) <= 1 for x in window)


def outside(window: list[float]) -> bool:
    return all(abs(x) > 1 for x in window) and min(window) < 0 < max(window)


# How many points each rule looks at, and what it asks of them.
WORDS = {
    Rule.NELSON_1: (1, beyond(1, 3)),
    Rule.NELSON_2: (9, beyond(9, 0)),
    Rule.NELSON_3: (6, steady),
    Rule.NELSON_4: (14, zigzag),
    Rule.NELSON_5: (3, beyond(2, 2)),
    Rule.NELSON_6: (5, beyond(4, 1)),
    Rule.NELSON_7: (15, within),
    Rule.NELSON_8: (8, outside),
    Rule.WESTERN_ELECTRIC_1: (1, beyond(1, 3)),
    Rule.WESTERN_ELECTRIC_2: (3, beyond(2, 2)),
    Rule.WESTERN_ELECTRIC_3: (5, beyond(4, 1)),
    Rule.WESTERN_ELECTRIC_4: (8, beyond(8, 0)),
}


def slowly(z: list[float]) -> list[tuple[int, Rule]]:
    return [
        (at, rule)
        for at in range(len(z))
        for rule, (count, holds) in WORDS.items()
        if at + 1 >= count and holds(z[at + 1 - count : at + 1])
    ]


def quickly(z: list[float]) -> list[tuple[int, Rule]]:
    return [(one.index, one.rule) for one in run_rules(z, 0.0, 1.0, EVERY)]


# Quarters, so that points often lie on a line, on the centre or beside their equals.
@given(st.lists(st.integers(-14, 14).map(lambda n: n / 4), min_size=1, max_size=60))
def test_rules_are_what_their_words_say(z: list[float]) -> None:
    assert quickly(z) == slowly(z)


# Points that stay near the one-sigma lines, where those that lie on them matter.
@given(st.lists(st.sampled_from([-1.25, -1, -0.5, 1]), min_size=8, max_size=40))
def test_rules_are_what_their_words_say_on_the_lines(z: list[float]) -> None:
    assert quickly(z) == slowly(z)


def test_points_on_the_one_sigma_lines_are_within_them() -> None:
    found = run_rules([1.0, -1.0, -1.0] * 5, 0, 1, ["nelson_7", "nelson_8"])
    assert found == [Signal(Rule.NELSON_7, 14, 0)]


@pytest.mark.parametrize("kind", ["normal", "narrow", "wide", "wave", "drift"])
def test_rules_are_what_their_words_say_on_long_charts(kind: str) -> None:
    chance = np.random.default_rng(21)
    z = chance.normal(size=20_000)
    z = {
        "normal": z,
        "narrow": z / 2,
        "wide": z * 1.8,
        "wave": z / 2 + np.where(np.arange(z.size) % 2, 0.6, -0.6),
        "drift": np.cumsum(z) / 5 % 6 - 3,
    }[kind]
    found = quickly(z.tolist())
    assert found == slowly(z.tolist())
    assert len({rule for _, rule in found}) >= 3


# --- how often chance makes a pattern -------------------------------------------------

ONE, TWO, THREE = (math.erfc(line / math.sqrt(2)) / 2 for line in (1, 2, 3))
# How many of 14! orders alternate: twice Euler's zigzag number of 14.
ALTERNATING = 2 * 199_360_981 / math.factorial(14)

# The chance of each rule at a point far from the start, by arithmetic from the normal
# distribution; the points are independent.
CHANCES = {
    Rule.NELSON_1: 2 * THREE,
    Rule.NELSON_2: 2 * 0.5**9,
    Rule.NELSON_3: 2 / math.factorial(6),
    Rule.NELSON_4: ALTERNATING,
    Rule.NELSON_5: 2 * TWO * (1 - (1 - TWO) ** 2),
    Rule.NELSON_6: 2 * ONE * (4 * ONE**3 * (1 - ONE) + ONE**4),
    Rule.NELSON_7: (1 - 2 * ONE) ** 15,
    Rule.NELSON_8: (2 * ONE) ** 8 * (1 - 2 * 0.5**8),
    Rule.WESTERN_ELECTRIC_4: 2 * 0.5**8,
}
SAME = {
    Rule.WESTERN_ELECTRIC_1: Rule.NELSON_1,
    Rule.WESTERN_ELECTRIC_2: Rule.NELSON_5,
    Rule.WESTERN_ELECTRIC_3: Rule.NELSON_6,
}


@pytest.fixture(scope="module")
def many() -> tuple[list[Signal], float]:
    points = np.random.default_rng(7).normal(50, 0.4, size=MANY)
    began = time.perf_counter()
    found = run_rules(points, 50.0, 0.4, EVERY)
    return found, time.perf_counter() - began


def test_a_million_points_take_seconds(many) -> None:
    assert many[1] < 10


# By theory, within four standard errors; these are of the rates of a hundred stretches,
# since one rule's signals come in clusters.
@pytest.mark.parametrize("rule", EVERY)
def test_false_alarms_are_as_many_as_theory_says(rule: Rule, many) -> None:
    each = Counter(one.index // 10_000 for one in many[0] if one.rule == rule)
    rates = [each[stretch] / 10_000 for stretch in range(MANY // 10_000)]
    error = statistics.stdev(rates) / math.sqrt(len(rates))
    exact = CHANCES[SAME.get(rule, rule)]
    assert 0 < error < exact / 5
    assert abs(statistics.mean(rates) - exact) < 4 * error


# Simulated apart from this project over 200,000 points: 0.0027 for Nelson's first,
# 0.016 for all four of Western Electric, 0.023 for all eight of Nelson, to 35 %.
@pytest.mark.parametrize(
    ("rules", "rate"),
    [([Rule.NELSON_1], 0.0027), (WESTERN_ELECTRIC, 0.016), (NELSON, 0.023)],
)
def test_false_alarms_of_whole_sets_are_as_others_simulated(rules, rate, many) -> None:
    points = {one.index for one in many[0] if one.rule in rules}
    assert len(points) / MANY == pytest.approx(rate, rel=0.05)


# --- what a signal says ---------------------------------------------------------------


def test_a_signal_says_where_its_pattern_began() -> None:
    run = run_rules([-1.0, *[0.5] * 11], 0, 1, ["nelson_2"])
    assert [(one.index, one.first) for one in run] == [(9, 1), (10, 1), (11, 1)]
    rise = run_rules([0.5, 0.9, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6], 0, 1, ["nelson_3"])
    assert [(one.index, one.first) for one in rise] == [(7, 2)]
    wave = run_rules([0.1, 0.1, *[0.4, -0.4] * 7], 0, 1, ["nelson_4"])
    # The step up from the flat start alternates with those that follow.
    assert [(one.index, one.first) for one in wave] == [(14, 1), (15, 1)]
    two = run_rules([0, 2.2, 0, 2.3, -2.1, 2.5], 0, 1, ["nelson_5"])
    assert [(one.index, one.first) for one in two] == [(3, 1), (5, 3)]
    late = run_rules([0, 0, 2.2, 2.3], 0, 1, ["nelson_5"])
    assert [(one.index, one.first) for one in late] == [(3, 2)]
    low = run_rules([-1.5, 0, -1.2, -1.1, -1.3], 0, 1, ["western_electric_3"])
    assert [(one.index, one.first) for one in low] == [(4, 0)]
    far = run_rules([0, 4], 0, 1)
    assert far == [Signal(Rule.NELSON_1, 1, 1)]
    assert isinstance(far[0].index, int)
    assert isinstance(far[0].first, int)


@given(z=st.lists(st.floats(-4, 4), min_size=1, max_size=60))
def test_a_pattern_begins_before_it_is_complete(z: list[float]) -> None:
    found = run_rules(z, 0.0, 1.0, EVERY)
    assert all(0 <= one.first <= one.index < len(z) for one in found)
    assert [one.index for one in found] == sorted(one.index for one in found)


def test_signals_of_a_point_stand_in_the_order_of_their_rules() -> None:
    found = run_rules([0.1, 2.5, 3.5], 0, 1, ["nelson_5", "nelson_1"])
    assert [one.rule for one in found] == ["nelson_1", "nelson_5"]


@given(z=st.lists(st.integers(-35, 35).map(lambda n: n / 10), min_size=1, max_size=40))
def test_rounding_in_the_binary_makes_no_signal(z: list[float]) -> None:
    exact = run_rules(z, 0.0, 1.0, EVERY)
    decimal = [round(10.4 + 0.1 * x, 3) for x in z]
    assert run_rules(decimal, 10.4, 0.1, EVERY) == exact


@given(z=st.lists(st.floats(-4, 4), min_size=1, max_size=40))
def test_each_point_may_have_lines_of_its_own(z: list[float]) -> None:
    spread = [1 + place % 3 for place in range(len(z))]
    middle = [float(place) for place in range(len(z))]
    points = [m + s * x for m, s, x in zip(middle, spread, z, strict=True)]
    alike = [(one.rule, one.index) for one in run_rules(z, 0.0, 1.0, ["nelson_1"])]
    found = run_rules(points, middle, spread, ["nelson_1"])
    assert [(one.rule, one.index) for one in found] == alike


def test_no_rule_asked_for_finds_nothing() -> None:
    assert run_rules([9.0], 0, 1, []) == []


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: run_rules([], 0, 1), r"points must be one row of one at least, got"),
        (lambda: run_rules([[1.0]], 0, 1), r"points must be one row .*\(1, 1\)"),
        (lambda: run_rules([1, math.nan], 0, 1), r"points must be finite, got nan"),
        (lambda: run_rules([1], math.inf, 1), r"center must be finite, got inf"),
        (lambda: run_rules([1], 0, math.nan), r"sigma must be finite, got nan"),
        (lambda: run_rules([1], 0, 0), r"sigma must be above 0, got 0\.0"),
        (lambda: run_rules([1, 2], 0, [1, -2]), r"sigma must be above 0, got -2\.0"),
        (lambda: run_rules([1, 2], [0], 1), r"center must be .*, got 1 for 2"),
        (lambda: run_rules([1, 2], 0, [1, 1, 1]), r"sigma must be .*, got 3 for 2"),
        (lambda: run_rules([1], 0, 1, ["nelson_9"]), r"rules .*, got \['nelson_9'\]"),
    ],
)
def test_what_has_no_patterns_is_refused(call, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()


def test_the_sets_hold_eight_and_four() -> None:
    assert (len(NELSON), len(WESTERN_ELECTRIC)) == (8, 4)
