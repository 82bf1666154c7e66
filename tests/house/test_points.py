"""Is each of the 42 points held by a test, or named as open?"""

import ast
from collections.abc import Collection, Mapping
from typing import Any

import pytest

from tests.house.points import OPEN, PARTLY, POINTS, held, marks_in


def faults(
    points: Collection[Any], tested: Collection[Any], still_open: Mapping[Any, str]
) -> list[str]:
    """Say which points nobody holds, and which are said to be open but are not."""
    return [
        *(
            f"{n}: no test and not open"
            for n in points
            if n not in {*tested, *still_open}
        ),
        *(f"{n}: open, but a test holds it" for n in still_open if n in tested),
        *(f"{n}: no such point" for n in {*tested, *still_open} - set(points)),
        *(f"{n}: open without a reason" for n, why in still_open.items() if not why),
    ]


def test_every_point_has_a_test_or_is_named_as_open() -> None:
    assert faults(POINTS, held(), OPEN) == []


def test_what_is_held_in_part_is_held() -> None:
    assert set(PARTLY) <= set(held())


def test_there_are_forty_two() -> None:
    assert list(POINTS) == list(range(1, 43))


@pytest.mark.parametrize(
    ("tested", "still_open", "found"),
    [
        ([1, 2, 3], {}, []),
        ([1, 2], {}, ["3: no test and not open"]),
        ([1, 2, 3], {3: "later"}, ["3: open, but a test holds it"]),
        ([1, 2, 3, 4], {}, ["4: no such point"]),
        ([1, 2, 3], {4: ""}, ["4: no such point", "4: open without a reason"]),
    ],
)
def test_what_is_not_held_is_found(
    tested: list[int], still_open: dict[int, str], found: list[str]
) -> None:
    assert faults([1, 2, 3], tested, still_open) == found


def test_marks_are_found_on_tests_alone() -> None:
    source = """
@pytest.mark.point(1, 2)
@pytest.mark.parametrize("a", [3])
def test_it(): pass
@pytest.mark.point(4)
def helper(): pass
@pytest.mark.timeout(5)
def test_other(): pass
"""
    assert list(marks_in(ast.parse(source))) == [(1, "test_it"), (2, "test_it")]
    assert list(marks_in(ast.parse(source), "timeout")) == [(5, "test_other")]
