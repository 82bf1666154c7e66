"""Do places of right forecasts spread evenly, and do corrected days hold as said?"""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from travelers.formulas.odds import (
    AS_SAID,
    GRID,
    NO_DOUBT,
    Correction,
    Doubt,
    learned,
    moment_at,
    of_100,
    place_of,
)
from travelers.formulas.shares import share

EVEN = [100 * one for one in GRID]
DAY = 86_400.0
# What is left to do of a made-up instrument, in days.
LEFT = stats.gamma(9, scale=10)
QUANTILES = [float(LEFT.ppf(one)) * DAY for one in GRID]


def drawn(count: int, seed: int, slower: float = 1.0) -> list[float]:
    found = LEFT.rvs(count, random_state=seed) * DAY * slower
    return [float(one) for one in found]


@pytest.mark.parametrize(
    ("pct", "said"), [(79.6, 79), (80.0, 80), (0.1 + 0.2, 0), (100 * (1 - 0.42), 58)]
)
def test_odds_are_never_said_better_than_they_are(pct: float, said: int) -> None:
    assert of_100(pct) == said


def test_places_of_a_right_forecast_are_spread_evenly() -> None:
    """The probability integral transform is uniform; scipy's Kolmogorov test."""
    places = [place_of(one, QUANTILES) for one in drawn(4000, 1)]
    assert stats.kstest(places, "uniform").pvalue > 0.05


def test_places_of_forecasts_that_are_too_early_or_too_sure_are_not() -> None:
    late = [place_of(one, QUANTILES) for one in drawn(4000, 1, slower=1.2)]
    sure = [moment_at(0.5 + (share - 0.5) / 2, QUANTILES) for share in GRID]
    unsure = [place_of(one, sure) for one in drawn(4000, 1)]
    for places in (late, unsure):
        assert stats.kstest(places, "uniform").pvalue < 1e-6


def test_places_by_hand() -> None:
    """Of futures spread evenly over 100 seconds the hundredths are the places."""
    assert place_of(0, EVEN) == 0
    assert place_of(0.5, EVEN) == pytest.approx(0.005)
    assert place_of(62, EVEN) == pytest.approx(0.62)
    assert place_of(99, EVEN) == pytest.approx(0.99)
    # From the middle, 50 h, to the last, 99 h, is one place more.
    hours = [3600 * one for one in EVEN]
    assert place_of(3600 * (99 + 49), hours) == pytest.approx(1.99)
    # Nearer together than an hour, an hour is one place.
    assert place_of(99 + 3600, EVEN) == pytest.approx(1.99)


@given(st.floats(0, 3))
def test_the_moment_at_a_place_is_the_other_way_round(place: float) -> None:
    assert place_of(moment_at(place, QUANTILES), QUANTILES) == pytest.approx(place)


def test_when_all_have_come_it_is_the_shares_that_came() -> None:
    found = learned([0.2, 0.4, 0.4, 1.5], [])
    assert found.share_at(0.4) == pytest.approx(0.75)
    assert found.place_for(0.25) == pytest.approx(0.2)
    assert found.place_for(0.75) == pytest.approx(0.4)
    # Halfway between three and four of four lies halfway between their places.
    assert found.place_for(0.875) == pytest.approx(0.95)
    assert found.place_for(0.99) == pytest.approx(0.4 + 1.1 * 0.96)


def test_what_has_not_come_counts_until_now() -> None:
    """By hand: one of three by 0.2; then one of the two left by 0.6."""
    found = learned([0.2, 0.6], [0.3, 0.9])
    assert found.share_at(0.2) == pytest.approx(1 / 4)
    assert found.share_at(0.6) == pytest.approx(1 - 3 / 4 * 1 / 2)
    # More than that has not come; the longest known is all that can be said.
    assert found.place_for(0.95) == 0.9


@pytest.mark.parametrize("slower", [0.8, 1.25])
def test_corrected_days_hold_as_often_as_is_said(slower: float) -> None:
    """Forecasts that are wrong, learned from a part of them and tried on the others."""
    places = [place_of(one, QUANTILES) for one in drawn(3000, 2, slower)]
    correction = learned(places, [])
    came = drawn(3000, 3, slower)
    for said in (0.5, 0.8, 0.95):
        day = moment_at(correction.place_for(said), QUANTILES)
        held = sum(one <= day for one in came) / len(came)
        assert held == pytest.approx(said, abs=0.025)
        as_said = moment_at(AS_SAID.place_for(said), QUANTILES)
        raw = sum(one <= as_said for one in came) / len(came)
        assert abs(raw - said) > 0.03


def test_those_that_came_alone_would_mislead() -> None:
    """Of half nothing is known after some time: only the early ones have come."""
    chance = Random(4)
    ended: list[float] = []
    still: list[float] = []
    for one in drawn(6000, 5, 1.25):
        known = chance.uniform(30, 200) * DAY
        place = place_of(min(one, known), QUANTILES)
        (ended if one <= known else still).append(place)
    assert len(still) > 1500
    came = drawn(3000, 6, 1.25)

    def held(correction: Correction) -> float:
        day = moment_at(correction.place_for(0.8), QUANTILES)
        return sum(one <= day for one in came) / len(came)

    assert held(learned(ended, still)) == pytest.approx(0.8, abs=0.03)
    assert held(learned(ended, [])) < 0.75


@pytest.mark.parametrize(("held", "of"), [(0, 5), (24, 32), (512, 512)])
def test_shares_lie_as_scipy_says(held: int, of: int) -> None:
    """Wilson's interval, as scipy.stats.binomtest gives it."""
    told = stats.binomtest(held, of).proportion_ci(0.95, method="wilson")
    found = share(held, of, of)
    assert (found.held, found.of) == (held, of)
    assert (found.least, found.most) == pytest.approx((told.low, told.high))


def test_several_days_of_one_thing_count_as_one() -> None:
    whole, apart = share(60, 100, 100), share(60, 100, 10)
    assert whole.share == apart.share
    assert (apart.least, apart.most) == pytest.approx(
        (share(6, 10, 10).least, share(6, 10, 10).most)
    )


def test_what_is_doubted_is_as_broad_as_scipy_says() -> None:
    """Two lognormals multiplied are one, whose logarithm's variance is their sum."""
    futures = stats.lognorm(0.3, scale=100 * DAY)
    both = stats.lognorm(0.5, scale=110 * DAY)
    found = Doubt(1.1, 0.4).doubted_s([futures.ppf(one) for one in GRID])
    assert found == pytest.approx([both.ppf(one) for one in GRID])


@given(st.lists(st.floats(0, 1e9), min_size=len(GRID), max_size=len(GRID)))
def test_doubt_keeps_the_order_of_days(moments: list[float]) -> None:
    moments.sort()
    found = Doubt(1.05, 0.125).doubted_s(moments)
    assert list(found) == sorted(found)
    assert NO_DOUBT.doubted_s(moments) == tuple(moments)


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="ended must hold at least one"):
        learned([], [0.5])
    with pytest.raises(ValueError, match="held must be of some"):
        share(3, 2, 2)
    with pytest.raises(ValueError, match="held must be of some"):
        share(0, 0, 1)
