"""Are exact tests, odds ratios, adjusted p-values and yields computed right?"""

import itertools
import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats
from scipy.stats.contingency import odds_ratio as scipy_odds_ratio

from travelers.formulas.association import (
    benjamini_hochberg,
    chance_of_any,
    first_pass_yield,
    fisher_exact,
    holm,
    holm_of_counts,
    odds_ratio,
    rolled_yield,
)
from travelers.formulas.association.exact import chances
from travelers.formulas.association.odds import common_odds
from travelers.formulas.association.strata import chances_within

COUNTS = st.integers(0, 40)
Table = tuple[int, int, int, int]

# Tables and their two-sided, "less" and "greater" p, computed exactly as fractions
# outside this project. The tea tastings and the twins' convictions are Fisher's, from
# memory; the others were made up.
FISHER = [
    ((3, 1, 1, 3), 0.485714285714, 0.985714285714, 0.242857142857),
    ((4, 0, 0, 4), 0.0285714285714, 1.0, 0.0142857142857),
    ((2, 2, 2, 2), 1.0, 0.757142857143, 0.757142857143),
    ((2, 15, 10, 3), 0.000536724119143, 0.000465180943363, 0.999984519019),
    ((5, 45, 1, 49), 0.204401585031, 0.986669461846, 0.102200792515),
    ((12, 188, 3, 197), 0.0318670415125, 0.996809703402, 0.0159335207562),
    ((9, 1, 4, 6), 0.0572755417957, 0.998452012384, 0.0286377708978),
    ((7, 93, 7, 93), 1.0, 0.608596295213, 0.608596295213),
    ((1, 2, 3, 24), 0.35960591133, 0.960591133005, 0.35960591133),
    ((10, 0, 0, 10), 1.08250882245e-05, 1.0, 5.41254411223e-06),
]


def columns(tables: Sequence[Table]) -> list[list[int]]:
    return [list(one) for one in zip(*tables, strict=True)]


def test_fishers_test_gives_the_exact_values_of_published_tables() -> None:
    abcd = columns([table for table, *_ in FISHER])
    for place, side in enumerate(("two-sided", "less", "greater"), start=1):
        exact = [row[place] for row in FISHER]
        assert fisher_exact(*abcd, side=side) == pytest.approx(exact, abs=1e-12)


# Population, marked, drawn, marked drawn: probability of just so many and of so many or
# fewer, computed outside this project.
@pytest.mark.parametrize(
    ("total", "marked", "drawn", "x", "just", "up_to"),
    [
        (8, 4, 4, 0, 0.0142857142857, 0.0142857142857),
        (50, 5, 10, 3, 0.0441767826465, 0.99591647945),
        (50, 5, 10, 5, 0.00011893749174, 1.0),
        (200, 6, 32, 4, 0.00612128732936, 0.999578474226),
        (500, 9, 50, 0, 0.384296208275, 0.384296208275),
        (500, 9, 50, 8, 4.82580259442e-08, 0.9999999995),
        (12, 5, 6, 3, 0.378787878788, 0.878787878788),
    ],
)
def test_the_hypergeometric_distribution(
    total: int, marked: int, drawn: int, x: int, just: float, up_to: float
) -> None:
    share = chances([total], [marked], [drawn]).share[0]
    assert share[x] == pytest.approx(just, abs=1e-12)
    assert share[: x + 1].sum() == pytest.approx(up_to, abs=1e-12)
    below = 1 - chances([total], [marked], [drawn]).at_least[0, x]
    assert below == pytest.approx(up_to - just, abs=1e-12)


def drawn_tables(seed: int, count: int, most: int) -> list[Table]:
    """Draw tables, some as chance gives them and some as it hardly ever does."""
    chance = np.random.default_rng(seed)
    tables = []
    for _ in range(count):
        n = int(chance.integers(2, most + 1))
        drawn, marked = (int(one) for one in chance.integers(1, n, 2))
        if chance.random() < 0.5:
            drawn, marked = min(drawn, 40), min(marked, 60)
        least, highest = max(0, drawn + marked - n), min(drawn, marked)
        a = int(chance.hypergeometric(marked, n - marked, drawn))
        if chance.random() < 0.3:
            a = int(chance.integers(least, highest + 1))
        tables.append((a, drawn - a, marked - a, n - drawn - marked + a))
    return tables


# scipy.stats.fisher_exact is the independent test.
@pytest.mark.parametrize("side", ["two-sided", "less", "greater"])
def test_fishers_test_agrees_with_another_implementation(side: str) -> None:
    tables = drawn_tables(1, 400, 2_000)
    found = fisher_exact(*columns(tables), side=side)
    theirs = [
        stats.fisher_exact([[a, b], [c, d]], alternative=side).pvalue
        for a, b, c, d in tables
    ]
    assert found == pytest.approx(theirs, abs=1e-12)


def exact_shares(a: int, b: int, c: int, d: int) -> dict[int, Fraction]:
    total, marked, drawn = a + b + c + d, a + c, a + b
    every = math.comb(total, drawn)
    return {
        x: Fraction(math.comb(marked, x) * math.comb(total - marked, drawn - x), every)
        for x in range(max(0, drawn + marked - total), min(drawn, marked) + 1)
    }


# Whole numbers and fractions are the independent way; they know which tables tie.
@given(a=COUNTS, b=COUNTS, c=COUNTS, d=COUNTS)
def test_each_side_is_the_sum_of_its_tables(a: int, b: int, c: int, d: int) -> None:
    shares = exact_shares(a, b, c, d)
    sums = {
        "greater": sum(p for x, p in shares.items() if x >= a),
        "less": sum(p for x, p in shares.items() if x <= a),
        "two-sided": sum(p for p in shares.values() if p <= shares[a]),
    }
    for side, exact in sums.items():
        (found,) = fisher_exact([a], [b], [c], [d], side=side)
        assert found == pytest.approx(float(exact), rel=1e-11, abs=1e-300)
        (turned,) = fisher_exact([a], [c], [b], [d], side=side)
        assert turned == pytest.approx(found, rel=1e-11)


# Of 18 with 9 marked, 6 drawn with x marked and with 6 - x are equally likely, by
# symmetry; in floats they differ in their last digit.
@pytest.mark.parametrize("x", range(7))
def test_tables_that_are_equally_likely_both_count(x: int) -> None:
    (found,) = fisher_exact([x], [6 - x], [9 - x], [3 + x])
    shares = exact_shares(x, 6 - x, 9 - x, 3 + x)
    exact = sum(p for p in shares.values() if p <= shares[x])
    assert found == pytest.approx(float(exact), rel=1e-12)


def test_no_table_has_no_answer_and_an_empty_one_says_nothing() -> None:
    assert fisher_exact([], [], [], []) == []
    assert fisher_exact([0], [0], [0], [0]) == [1.0]
    assert odds_ratio([], [], [], []) == []


@pytest.mark.parametrize(
    ("counts", "named"),
    [
        (([1], [1], [1], [-1]), "d must be whole numbers from 0, got .-1."),
        (([1], [1.5], [1], [1]), "b must be whole numbers from 0"),
        (([1], [1], [1, 2], [1]), "c must be one count for each of 1 tables"),
    ],
)
def test_counts_that_cannot_be_are_refused_by_name(counts, named: str) -> None:
    for ask in (fisher_exact, odds_ratio):
        with pytest.raises(ValueError, match=named):
            ask(*counts)


def test_a_side_or_confidence_that_cannot_be_is_refused() -> None:
    with pytest.raises(
        ValueError, match="side must be one of greater, less, two-sided, got 'both'"
    ):
        fisher_exact([1], [1], [1], [1], side="both")
    with pytest.raises(ValueError, match="confidence must be between 0 and 1, got 1"):
        odds_ratio([1], [1], [1], [1], confidence=1)


# scipy.stats.contingency.odds_ratio, conditional, is the independent estimate; it stops
# nearing the ends of its interval at a relative 1e-7 or so.
def test_odds_ratios_agree_with_another_implementation() -> None:
    tables = drawn_tables(2, 60, 400)
    for (a, b, c, d), found in zip(tables, odds_ratio(*columns(tables)), strict=True):
        theirs = scipy_odds_ratio([[a, b], [c, d]])
        ends = theirs.confidence_interval(0.95)
        assert found.estimate == pytest.approx(theirs.statistic, rel=1e-6, nan_ok=True)
        assert found.low == pytest.approx(ends.low, rel=1e-6)
        assert found.high == pytest.approx(ends.high, rel=1e-6)


# Other statistics software prints 6.408309, with a one-sided 95 % limit of 0.3135693,
# for the tea of which three of four cups were told right (from memory); it stops at a
# relative 1e-4.
def test_the_tea_tasting_has_its_published_odds_ratio() -> None:
    (tea,) = odds_ratio([3], [1], [1], [3], confidence=0.9)
    assert tea.estimate == pytest.approx(6.408309, rel=1e-5)
    assert tea.low == pytest.approx(0.3135693, rel=1e-4)


def test_empty_cells_leave_the_other_end_finite() -> None:
    all_in, none_in, no_case = odds_ratio([5, 0, 0], [0, 5, 5], [3, 8, 0], [20, 15, 23])
    assert all_in.estimate == all_in.high == math.inf
    assert 1 < all_in.low < math.inf
    assert none_in.estimate == none_in.low == 0
    assert 0 < none_in.high < math.inf
    assert math.isnan(no_case.estimate)
    assert (no_case.low, no_case.high) == (0, math.inf)


def test_a_table_too_unlikely_for_floats_still_has_its_ends() -> None:
    (found,) = odds_ratio([1000], [0], [0], [1000])
    assert found.estimate == math.inf
    assert 1e5 < found.low < 1e6


# By the definition of the interval: its low end is where so many or more inside have
# 2.5 %, so it is above 1 just where the one-sided test says less.
@given(a=COUNTS, b=COUNTS, c=COUNTS, d=COUNTS)
def test_the_interval_agrees_with_the_test(a: int, b: int, c: int, d: int) -> None:
    (found,) = odds_ratio([a], [b], [c], [d])
    (p,) = fisher_exact([a], [b], [c], [d], side="greater")
    assert (found.low > 1) == (p < 0.025)
    (other,) = odds_ratio([b], [a], [d], [c])
    if not math.isnan(found.estimate):
        assert found.low <= found.estimate <= found.high
        assert found.low * other.high == pytest.approx(1, rel=1e-9) or not found.low


# Every table that can be, weighed by Fisher's noncentral distribution: the share of
# intervals that hold the true odds ratio is computed, not drawn.
@pytest.mark.parametrize("true", [0.2, 1.0, 3.0, 14.0])
@pytest.mark.parametrize(("inside", "cases"), [(4, 9), (12, 7), (30, 30)])
def test_the_interval_holds_the_truth_at_least_as_often_as_it_says(
    true: float, inside: int, cases: int
) -> None:
    total = 60
    numbers = np.arange(max(0, inside + cases - total), min(inside, cases) + 1)
    shares = stats.nchypergeom_fisher.pmf(numbers, total, cases, inside, true)
    outside = total - inside - cases + numbers
    found = odds_ratio(numbers, inside - numbers, cases - numbers, outside)
    held = [one.low <= true <= one.high for one in found]
    assert shares[held].sum() >= 0.95


# p-values with Holm's and Benjamini and Hochberg's adjusted ones, computed in two ways
# outside this project; the first are the 15 of Benjamini and Hochberg (1995).
ADJUSTED = [
    (
        [0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.324,
         0.4262, 0.5719, 0.6528, 0.759, 1.0],
        [0.0015, 0.0056, 0.0247, 0.114, 0.2211, 0.278, 0.278, 0.278, 0.3213, 1.0, 1.0,
         1.0, 1.0, 1.0, 1.0],
        [0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.0638571428571, 0.0638571428571,
         0.0645, 0.0765, 0.486, 0.581181818182, 0.714875, 0.753230769231,
         0.813214285714, 1.0],
    ),
    (
        [0.005, 0.009, 0.05, 0.1],
        [0.02, 0.027, 0.1, 0.1],
        [0.018, 0.018, 0.0666666666667, 0.1],
    ),
    (
        [0.01, 0.04, 0.03, 0.005, 0.2],
        [0.04, 0.09, 0.09, 0.025, 0.2],
        [0.025, 0.05, 0.05, 0.025, 0.2],
    ),
    (
        [0.02, 0.02, 0.02, 0.5, 0.5, 0.9],
        [0.12, 0.12, 0.12, 1.0, 1.0, 1.0],
        [0.04, 0.04, 0.04, 0.6, 0.6, 0.9],
    ),
    (
        [0.001, 0.0011, 0.00111, 0.001111],
        [0.004, 0.004, 0.004, 0.004],
        [0.001111, 0.001111, 0.001111, 0.001111],
    ),
    (
        [0.0007, 0.21, 0.034, 0.0042, 0.66, 0.018, 0.45, 0.0098, 0.87, 0.051, 0.12,
         0.0031],
        [0.0084, 0.84, 0.238, 0.042, 1.0, 0.144, 1.0, 0.0882, 1.0, 0.306, 0.6, 0.0341],
        [0.0084, 0.28, 0.068, 0.0168, 0.72, 0.0432, 0.54, 0.0294, 0.87,
         0.0874285714286, 0.18, 0.0168],
    ),
    (
        [0.41, 0.002, 0.07, 0.013, 0.95, 0.0004, 0.028, 0.6],
        [1.0, 0.014, 0.28, 0.078, 1.0, 0.0032, 0.14, 1.0],
        [0.546666666667, 0.008, 0.112, 0.0346666666667, 0.95, 0.0032, 0.056,
         0.685714285714],
    ),
]  # fmt: skip


@pytest.mark.parametrize(("p_values", "by_holm", "by_bh"), ADJUSTED)
def test_adjusted_p_values_are_those_published(p_values, by_holm, by_bh) -> None:
    assert holm(p_values) == pytest.approx(by_holm, abs=1e-12)
    assert benjamini_hochberg(p_values) == pytest.approx(by_bh, abs=1e-12)


SHARES = st.lists(st.floats(0, 1), max_size=30)


# scipy.stats.false_discovery_control is the independent adjustment.
@given(p_values=SHARES)
def test_false_discoveries_are_adjusted_as_elsewhere(p_values: list[float]) -> None:
    theirs = list(stats.false_discovery_control(p_values)) if p_values else []
    assert benjamini_hochberg(p_values) == pytest.approx(theirs, abs=1e-12)


def closed(p_values: Sequence[float], chance) -> list[float]:
    """Adjust by every set of tests that holds each: the closed testing principle."""
    places = range(len(p_values))
    sets = [
        chosen
        for size in range(1, len(p_values) + 1)
        for chosen in itertools.combinations(places, size)
    ]
    return [
        max(min(1, chance(chosen)) for chosen in sets if n in chosen) for n in places
    ]


# Marcus, Peritz and Gabriel (1976), closed testing, by all sets of tests: Holm's method
# is the closed form of Bonferroni's.
@given(p_values=st.lists(st.floats(0, 1), max_size=6))
def test_holm_is_the_closed_test_of_bonferroni(p_values: list[float]) -> None:
    every = closed(
        p_values, lambda chosen: len(chosen) * min(p_values[n] for n in chosen)
    )
    assert holm(p_values) == pytest.approx(every, abs=1e-12)


@st.composite
def counted_tests(draw: st.DrawFn) -> tuple[list[float], list[list[float]]]:
    """Draw tests that give few p-values each, and which of them each gave."""
    steps = st.lists(st.integers(1, 1000), min_size=1, max_size=4, unique=True)
    some = [sorted(draw(steps)) for _ in range(draw(st.integers(1, 3)))]
    margins = [[one / 1000 for one in row] for row in some]
    attainable = draw(st.lists(st.sampled_from(margins), min_size=1, max_size=6))
    return [draw(st.sampled_from(row)) for row in attainable], attainable


# Closed testing once more, the chance of each set summed in plain loops.
@given(tests=counted_tests())
def test_counts_are_adjusted_by_what_each_test_could_have_said(tests) -> None:
    p_values, attainable = tests

    def chance(chosen: Sequence[int]) -> float:
        least = min(p_values[n] for n in chosen)
        return sum(
            max((one for one in attainable[n] if one <= least), default=0.0)
            for n in chosen
        )

    found = holm_of_counts(p_values, attainable)
    assert found == pytest.approx(closed(p_values, chance), abs=1e-12)
    assert all(map(lambda x, y: x <= y + 1e-12, found, holm(p_values)))
    single = chance_of_any(p_values, attainable)
    assert all(map(lambda x, y: x >= y - 1e-12, single, found))


def test_p_values_that_cannot_be_are_refused() -> None:
    for adjust in (holm, benjamini_hochberg):
        for wrong in (-0.1, 1.1, math.nan):
            with pytest.raises(ValueError, match="p_values must lie from 0 to 1, got"):
                adjust([0.5, wrong])
        assert adjust([]) == []
    with pytest.raises(ValueError, match="attainable must be one for each p-value"):
        holm_of_counts([0.5], [])
    assert holm_of_counts([], []) == []


# Computed outside this project, products of first-pass yields.
@pytest.mark.parametrize(
    ("yields", "rolled"),
    [
        ([0.95, 0.9, 0.97], 0.82935),
        ([0.985, 0.97, 0.94, 0.99, 0.96, 0.98, 0.955], 0.798861871241),
        ([], 1.0),
        ([0.9, 0.0], 0.0),
    ],
)
def test_the_rolled_yield_is_what_comes_through_all_steps(yields, rolled) -> None:
    assert rolled_yield(yields) == pytest.approx(rolled, abs=1e-12)


# 200 bodies through three steps, counted by hand: 190, 171 and 162 come through.
def test_yields_of_steps_roll_up_to_the_yield_of_all() -> None:
    steps = [(190, 200), (171, 190), (162, 171)]
    yields = [first_pass_yield(passed, entered) for passed, entered in steps]
    assert yields[0] == 0.95
    assert rolled_yield(yields) == pytest.approx(162 / 200)


def test_yields_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="yields must lie from 0 to 1, got 1"):
        rolled_yield([0.9, 1.2])
    with pytest.raises(ValueError, match="entered must be at least 1, got 0"):
        first_pass_yield(0, 0)
    with pytest.raises(
        ValueError, match="passed_first_time must lie from 0 to 5, got 6"
    ):
        first_pass_yield(6, 5)


# Penicillin and rabbits, cured or died by when it was given, at five amounts: Agresti
# (1990), Categorical Data Analysis, pp. 231-237; exact p and odds ratio as R's manual
# prints them for mantelhaen.test, from memory. Its roots are found to few digits.
RABBITS = [(0, 6, 0, 5), (3, 3, 0, 6), (6, 0, 2, 4), (5, 1, 6, 0), (2, 0, 5, 0)]


def laid_out(tables: Sequence[Table]) -> tuple[Any, Any, Any]:
    """Lay tables out as who met it, who is a case, and who is of which stratum."""
    rows = [
        (met, case, stratum)
        for stratum, (a, b, c, d) in enumerate(tables)
        for met, case, n in ((1, 1, a), (1, 0, b), (0, 1, c), (0, 0, d))
        for _ in range(n)
    ]
    met, case, stratum = np.array(rows).T
    return met.astype(bool)[None], case.astype(bool), stratum


def test_strata_are_tested_together_as_published() -> None:
    met, case, stratum = laid_out(RABBITS)
    found = chances_within(met, case, stratum)
    (seen,) = (met & case).sum(axis=1) - found.low
    share = found.share[0]
    assert share[share <= share[seen] * (1 + 1e-9)].sum() == pytest.approx(
        0.03994, abs=5e-6
    )
    (odds,) = common_odds(found.share, np.array([seen]), 0.95)
    assert odds.estimate == pytest.approx(10.361, rel=1e-4)
    assert odds.low == pytest.approx(1.0774, rel=1e-4)
    assert odds.high == pytest.approx(529.84, rel=5e-3)


@given(tables=st.lists(st.tuples(COUNTS, COUNTS, COUNTS, COUNTS), min_size=1))
def test_one_stratum_has_the_odds_of_its_table(tables: list[Table]) -> None:
    for table, one in zip(tables, odds_ratio(*columns(tables)), strict=True):
        if not sum(table):
            continue
        met, case, stratum = laid_out([table])
        found = chances_within(met, case, stratum)
        (again,) = common_odds(found.share, (met & case).sum(axis=1) - found.low, 0.95)
        for name in ("estimate", "low", "high"):
            assert getattr(again, name) == pytest.approx(
                getattr(one, name), rel=1e-6, nan_ok=True
            )
