"""Is the best of all ways to cut found, and none missed?"""

from collections.abc import Sequence
from functools import cache
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from travelers.formulas.cutting import (
    First,
    Kind,
    Part,
    Plank,
    TooManyWays,
    best_stages,
    plan,
)

KINDS = st.lists(
    st.builds(
        Kind,
        along=st.integers(1, 7),
        across=st.integers(1, 7),
        pieces=st.integers(1, 3),
        most=st.integers(0, 3),
        worth=st.integers(1, 30),
    ),
    min_size=1,
    max_size=3,
)


def every_way(along: int, across: int, kinds: Sequence[Kind], kerf: int) -> int:
    """Try every section of every content, one after another, and say the best worth."""

    @cache
    def best(room: int, counts: tuple[int, ...]) -> int:
        worth = sum(
            min(kind.most, n // kind.pieces) * kind.worth
            for kind, n in zip(kinds, counts, strict=True)
        )
        for more in rows():
            size = max(k.along for k, n in zip(kinds, more, strict=True) if n)
            if size <= room:
                total = tuple(
                    min(n + m, kind.most * kind.pieces)
                    for n, m, kind in zip(counts, more, kinds, strict=True)
                )
                worth = max(worth, best(room - size - kerf, total))
        return worth

    @cache
    def rows() -> list[tuple[int, ...]]:
        tried = product(*(range(across // kind.across + 1) for kind in kinds))
        return [
            row
            for row in tried
            if any(row)
            and sum(n * (k.across + kerf) for n, k in zip(row, kinds, strict=True))
            <= across + kerf
        ]

    return best(along, (0,) * len(kinds))


@given(
    along=st.integers(1, 16),
    across=st.integers(1, 12),
    kinds=KINDS,
    kerf=st.integers(0, 2),
)
@settings(max_examples=150, deadline=None)
def test_no_way_is_worth_more(along, across, kinds, kerf) -> None:
    found = best_stages(along, across, kinds, kerf)
    assert found.worth == every_way(along, across, kinds, kerf)


def by_solver(along: int, across: int, kinds: Sequence[Kind], kerf: int) -> int:
    """Say the best worth by another model, solved by HiGHS as scipy brings it.

    A section has at most one length; a piece lies only in a section as long as it.
    """
    lengths = sorted({kind.along for kind in kinds})
    rows = (along + kerf) // (lengths[0] + kerf)
    many, h = len(kinds), len(lengths)
    wide = many + h
    size = rows * wide + many
    lhs: list[Any] = []
    top: list[float] = []

    def must(row: dict[int, float], most: float) -> None:
        lhs.append([row.get(column, 0) for column in range(size)])
        top.append(most)

    for r in range(rows):
        at = r * wide
        must({at + many + j: 1 for j in range(h)}, 1)
        must({at + i: k.across + kerf for i, k in enumerate(kinds)}, across + kerf)
        for i, kind in enumerate(kinds):
            fit = (across + kerf) // (kind.across + kerf)
            long = {
                at + many + j: -fit
                for j, one in enumerate(lengths)
                if one >= kind.along
            }
            must({at + i: 1} | long, 0)
    way = {
        r * wide + many + j: one + kerf
        for r in range(rows)
        for j, one in enumerate(lengths)
    }
    must(way, along + kerf)
    for i, kind in enumerate(kinds):
        must(
            {rows * wide + i: kind.pieces} | {r * wide + i: -1 for r in range(rows)}, 0
        )
    upper = np.full(size, np.inf)
    upper[rows * wide :] = [kind.most for kind in kinds]
    cost = np.zeros(size)
    cost[rows * wide :] = [-kind.worth for kind in kinds]
    found = milp(
        cost,
        integrality=np.ones(size),
        bounds=Bounds(0, upper),
        constraints=LinearConstraint(np.array(lhs), ub=np.array(top)),
        options={"mip_rel_gap": 0},
    )
    assert found.success
    return round(-found.fun)


# Pieces of 15 × 10 as (length, width, at most, value): test problem 1 of Christofides
# and Whitlock, "An algorithm for two-dimensional cutting problems", Operations Research
# 25 (1977) 30-44, published as cgcut1 in the OR-Library. The best of all guillotine
# layouts is worth 244 there, as quoted in public; two stages can reach no more.
CGCUT1 = (
    (8, 4, 2, 66),
    (3, 7, 1, 35),
    (8, 2, 3, 24),
    (3, 4, 5, 17),
    (3, 3, 2, 11),
    (3, 2, 2, 8),
    (2, 1, 1, 2),
)


def test_a_published_problem_is_solved_to_its_proved_best() -> None:
    kinds = [Kind(a, b, 1, most, worth) for a, b, most, worth in CGCUT1]
    assert best_stages(15, 10, kinds, 0).worth == 244


def test_its_other_order_agrees_with_a_solver() -> None:
    kinds = [Kind(b, a, 1, most, worth) for a, b, most, worth in CGCUT1]
    found = best_stages(10, 15, kinds, 0).worth
    assert found == by_solver(10, 15, kinds, 0) <= 244


@pytest.mark.parametrize("first", First)
@pytest.mark.parametrize(
    ("room", "wanted"),
    [((4060, 190), (2, 3, None)), ((2400, 590), (3, 2, 4)), ((3000, 300), (4, 9, 9))],
)
def test_planks_of_a_shop_agree_with_a_solver(room, wanted, first) -> None:
    sizes = ((500, 135, 3), (740, 50, 2), (700, 100, 1))
    turned = first is First.RIP
    kinds = [
        Kind(*((b, a) if turned else (a, b)), pieces, 40 if n is None else n, a * b)
        for (a, b, pieces), n in zip(sizes, wanted, strict=True)
    ]
    along, across = room[::-1] if turned else room
    found = best_stages(along, across, kinds, 3)
    assert found.worth == by_solver(along, across, kinds, 3)


@pytest.mark.parametrize("kinds", [8, 14])
def test_too_wide_a_question_is_refused_not_guessed(kinds) -> None:
    parts = [Part("x", 1, 100 + n, 30 + n, 20) for n in range(kinds)]
    with pytest.raises(TooManyWays, match="ask for fewer kinds"):
        plan(Plank(4000, 500, 50), parts, 3)
