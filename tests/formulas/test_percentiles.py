"""Do percentiles agree with numpy's, and with a small sample reckoned by hand?"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.percentiles import percentile, share_below_pct

VALUES = st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60)


# By hand from definition 7 of Hyndman and Fan (1996): the k-th of n, counted from 0,
# is the percentile 100 k / (n - 1), and between two one goes on a straight line.
@pytest.mark.parametrize(
    ("pct", "value"), [(0, 1), (20, 2), (25, 2.25), (50, 3.5), (95, 7.5), (100, 8)]
)
def test_a_small_sample_by_hand(pct, value) -> None:
    assert percentile([4, 1, 8, 2, 6, 3], pct) == pytest.approx(value)


@given(VALUES, st.floats(0, 100))
def test_it_is_numpys_percentile(values, pct) -> None:
    expected = float(np.percentile(values, pct))
    assert percentile(values, pct) == pytest.approx(expected, rel=1e-9, abs=1e-6)


@given(VALUES, st.floats(0, 100))
def test_it_lies_among_the_values(values, pct) -> None:
    assert min(values) <= percentile(values, pct) <= max(values)


@given(VALUES)
def test_none_is_below_the_least_and_all_others_below_the_most(values) -> None:
    assert share_below_pct(values, min(values)) == 0
    top = max(values)
    below = sum(one < top for one in values)
    assert share_below_pct(values, top) == pytest.approx(100 * below / len(values))


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="values must hold at least one"):
        percentile([], 50)
    with pytest.raises(ValueError, match="pct must lie from 0 to 100, got 101"):
        percentile([1], 101)
    with pytest.raises(ValueError, match="values must hold at least one"):
        share_below_pct([], 1)
