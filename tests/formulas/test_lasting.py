"""Is the product-limit estimate the published one, and the plain one without losses?"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.lasting import evenly, survival

# Weeks of remission with 6-mercaptopurine (Freireich and others, 1963), as textbooks on
# survival print them with these shares; from memory.
ENDED = [6, 6, 6, 7, 10, 13, 16, 22, 23]
STILL = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
SHARES = {6: 0.857, 7: 0.807, 10: 0.753, 13: 0.690, 16: 0.627, 22: 0.538, 23: 0.448}


def test_the_textbook_shares_are_met() -> None:
    found = dict(survival(ENDED, STILL))
    assert found.keys() == SHARES.keys()
    for week, share in SHARES.items():
        assert found[week] == pytest.approx(share, abs=0.0006)


@given(st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_when_all_has_ended_it_is_the_share_that_lasted_longer(
    times: list[int],
) -> None:
    for time, share in survival(times, []):
        assert share == pytest.approx(sum(one > time for one in times) / len(times))


@given(st.lists(st.integers(0, 50), min_size=1, max_size=40))
def test_when_all_has_ended_so_many_times_are_those_themselves(
    times: list[int],
) -> None:
    assert list(evenly(times, [], len(times))) == sorted(times)


def test_what_goes_on_makes_it_longer() -> None:
    assert sum(evenly([1, 2, 3], [4, 4], 10)) > sum(evenly([1, 2, 3], [], 10))


def test_without_an_end_nothing_is_known() -> None:
    with pytest.raises(ValueError, match="ended"):
        evenly([], [1], 2)
    with pytest.raises(ValueError, match="count"):
        evenly([1], [], 0)
