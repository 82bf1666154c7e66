"""How large may a print run be?"""

import pytest

from travelers.paper.rules import (
    MOST_INSTRUMENTS,
    NOTHING_TO_PRINT,
    TOO_MANY,
    may_print,
)


@pytest.mark.parametrize("count", [1, 2, MOST_INSTRUMENTS])
def test_a_run_of_some_is_printed(count: int) -> None:
    assert may_print(count=count) is None


def test_a_run_of_none_is_refused() -> None:
    assert may_print(count=0) == NOTHING_TO_PRINT


def test_a_run_of_too_many_says_how_many() -> None:
    refused = may_print(count=MOST_INSTRUMENTS + 1)
    assert refused is not None
    assert refused.code == TOO_MANY.code
    assert refused.words == {"count": "101", "limit": "100"}
