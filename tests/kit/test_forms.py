"""Is a number read as a hand types it, and a long list cut into leaves?"""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from travelers.kit.forms import Count, Number
from travelers.kit.leaves import Leaf, leaf_asked


@pytest.mark.parametrize(
    ("typed", "value"),
    [
        ("43.5", "43.5"),
        ("43,5", "43.5"),
        (" 43,50 mm ", "43.50"),
        (".25", "0.25"),
        ("100000", "100000"),
    ],
)
def test_a_number_is_taken_with_comma_or_point(typed: str, value: str) -> None:
    assert Number(unit="mm").clean(typed) == Decimal(value)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "required"),
        ("ab", "a number alone"),
        ("1,234.5", "one decimal mark"),
        ("1" * 50, "too long"),
        ("4 cm", "This is asked in mm; measure again or leave cm out."),
        ("0", "more than 0"),
        ("-3", "more than 0"),
        ("100000.01", "at most 100000"),
        ("1.234", "at most 2 decimals"),
        ("1e3", "a number alone"),
        ("NaN", "a number alone"),
    ],
)
def test_what_is_no_such_number_says_what_to_do(typed: str, words: str) -> None:
    with pytest.raises(ValidationError) as fault:
        Number(unit="mm").clean(typed)
    assert words in fault.value.messages[0]


def test_an_empty_cell_may_be_none() -> None:
    assert Number(required=False).clean("  ") is None
    assert Count(required=False, most=9).clean("") is None


def test_a_count_is_whole() -> None:
    assert Count(most=9).clean("5") == 5
    assert isinstance(Count(most=9).clean("5,0"), int)
    with pytest.raises(ValidationError, match="a whole number"):
        Count(most=9).clean("5.5")
    with pytest.raises(ValidationError, match="a number alone"):
        Count(most=9).clean("5 mm")


@pytest.mark.parametrize(
    ("leaf", "before", "after"),
    [(Leaf(1, 1, 0), None, None), (Leaf(1, 3, 9), None, 2), (Leaf(3, 3, 9), 2, None)],
)
def test_a_leaf_knows_its_neighbours(
    leaf: Leaf, before: int | None, after: int | None
) -> None:
    assert (leaf.previous, leaf.next) == (before, after)


@pytest.mark.parametrize(
    ("asked", "number"),
    [("2", 2), ("0", 0), ("-1", 1), ("x", 1), ("", 1), ("1" * 30, 1), ("²", 1)],
)
def test_a_leaf_is_asked_for_by_number(asked: str, number: int) -> None:
    assert leaf_asked({"leaf": asked}) == number


def test_without_a_word_the_first_leaf_is_meant() -> None:
    assert leaf_asked({}) == 1
