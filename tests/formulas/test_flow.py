"""Are waits, queues and yields as queueing theory and its textbooks say?"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from travelers.formulas.flow import (
    in_work,
    jackson,
    kingman,
    lead_time,
    md1,
    mm1,
    mmc,
    older_than_share,
    rolled_yield,
)

# Computed apart from this project by two formulas for Erlang's C. The first row is the
# emergency room of Hillier and Lieberman, Introduction to Operations Research (from
# memory: L 3/4, Lq 1/12, W 3/8, Wq 1/24). Arrival and service rate, servers, C, L, Wq.
SEVERAL = [
    (2, 3, 2, 1 / 6, 0.75, 1 / 24),
    (10, 4, 3, 0.702247191011, 6.01123595506, 0.351123595506),
    (30, 5, 8, 0.356981085879, 7.07094325764, 0.0356981085879),
    (18, 2, 10, 0.668731524108, 15.018583717, 0.334365762054),
    (1.9, 1, 2, 0.925641025641, 19.4871794872, 9.25641025641),
    (11, 2, 6, 0.780924928875, 14.0901742176, 0.780924928875),
]

# M/M/1: L = r/(1-r), Wq = r/(m-l) (textbooks, from memory). Arrival and service rate,
# L, Lq, W, Wq.
SINGLE = [
    (2, 3, 2, 4 / 3, 1, 2 / 3),
    (0.5, 1, 1, 0.5, 2, 1),
    (9, 10, 9, 8.1, 1, 0.9),
]

# M/D/1 by Pollaczek and Khinchine (textbooks, from memory).
STEADY = [(0.9, 1, 4.95, 4.05, 5.5, 4.5), (3, 4, 1.875, 1.125, 0.625, 0.375)]

# Kingman's formula with Sakasegawa's exponent, as in Hopp and Spearman, Factory Physics
# (from memory), computed apart from this project. ca², ce², load, work, places, wait.
ROUGH = [
    (1, 0.25, 0.8, 1, 1, 2.5),
    (0, 1, 0.8, 1, 1, 2.0),
    (1.5, 0.7, 0.85, 2, 1, 12.4666666667),
    (1, 0.5, 0.9, 4, 2, 12.8755635229),
]


@pytest.mark.parametrize(
    ("arrive", "serve", "places", "waits", "there", "wait"), SEVERAL
)
def test_several_places_are_as_erlang_says(
    arrive, serve, places, waits, there, wait
) -> None:
    found = mmc(arrive, serve, places)
    assert found.wait_probability == pytest.approx(waits, rel=1e-9)
    assert found.number_in_system == pytest.approx(there, rel=1e-9)
    assert found.queue_wait == pytest.approx(wait, rel=1e-9)
    assert found.utilisation == pytest.approx(arrive / serve / places)


# The documented example of the Python package pyworkforce: 100 calls in half an hour of
# 3 minutes each, 14 people; the chance to wait.
def test_a_published_example_of_a_call_centre() -> None:
    found = mmc(100 / 30, 1 / 3, 14)
    assert found.wait_probability == pytest.approx(0.1741319335950498, rel=1e-9)


@pytest.mark.parametrize(("reckon", "rows"), [(mm1, SINGLE), (md1, STEADY)])
def test_one_place_is_as_textbooks_say(reckon, rows) -> None:
    for arrive, serve, there, waiting, stay, wait in rows:
        found = reckon(arrive, serve)
        assert found.number_in_system == pytest.approx(there, rel=1e-9)
        assert found.queue_length == pytest.approx(waiting, rel=1e-9)
        assert found.time_in_system == pytest.approx(stay, rel=1e-9)
        assert found.queue_wait == pytest.approx(wait, rel=1e-9)


@pytest.mark.parametrize(("come", "work", "load", "lasts", "places", "wait"), ROUGH)
def test_the_rough_wait_is_as_published(come, work, load, lasts, places, wait) -> None:
    found = kingman(
        load,
        lasts,
        arrival_cv=math.sqrt(come),
        work_cv=math.sqrt(work),
        servers=places,
    )
    assert found == pytest.approx(wait, rel=1e-9)


# Little and Graves (2008), "Little's Law", in Building Intuition (from memory).
@pytest.mark.parametrize(
    ("there", "rate", "stay"), [(150, 50, 3), (45000, 1000, 45), (24, 1.5, 16)]
)
def test_little_s_examples(there, rate, stay) -> None:
    assert lead_time(there, rate) == stay
    assert in_work(rate, stay) == there


# Product of the yields of each step, reckoned by hand.
def test_a_rolled_yield_is_the_product() -> None:
    assert rolled_yield([0.95, 0.90, 0.97]) == pytest.approx(0.82935, rel=1e-12)


@given(st.integers(0, 9), st.lists(st.integers(0, 9), min_size=1, max_size=30))
def test_an_age_ranks_as_scipy_says(age, history) -> None:
    expected = stats.percentileofscore(history, age, kind="mean")
    assert older_than_share(age, history) == pytest.approx(expected / 100)


RATES = st.floats(0.01, 0.98)


@given(RATES, st.integers(1, 30))
def test_one_more_place_never_makes_anybody_wait_longer(share, places) -> None:
    rate = share * places
    fewer, more = mmc(rate, 1, places), mmc(rate, 1, places + 1)
    assert more.queue_wait <= fewer.queue_wait
    assert fewer.queue_length == pytest.approx(rate * fewer.queue_wait)
    assert fewer.number_in_system == pytest.approx(fewer.queue_length + rate)


@given(RATES)
def test_one_place_of_several_is_one_place(share) -> None:
    one = mmc(share, 1, 1)
    for name in one.__slots__:
        assert getattr(one, name) == pytest.approx(getattr(mm1(share, 1), name))
    assert md1(share, 1).queue_wait == pytest.approx(one.queue_wait / 2)
    assert kingman(share, 1.0) == pytest.approx(one.queue_wait)


# Traffic reckoned by hand: 1 + 0.2 b = a, b = a, so that both get 1.25 in a unit.
def test_what_is_sent_back_loads_both_stations() -> None:
    saw, spray = jackson([1, 0], [2, 3], [1, 1], [[0, 1], [0.2, 0]])
    assert saw == mm1(1.25, 2)
    assert spray.queue_wait == pytest.approx(mm1(1.25, 3).queue_wait)


@pytest.mark.parametrize(
    ("call", "said"),
    [
        (lambda: mmc(2, 1, 2), "arrival_rate must be below 2"),
        (lambda: mmc(1, 1, 0), "servers must be a whole number from 1, got 0"),
        (lambda: mmc(-1, 1, 1), "arrival_rate must be finite and 0 or more, got -1"),
        (lambda: mmc(1, 0, 1), "service_rate must be finite and above 0, got 0"),
        (lambda: mm1(5, 5), "arrival_rate must be below 5"),
        (lambda: md1(5, 5), "arrival_rate must be below 5"),
        (lambda: kingman(1, 1), "utilisation must be from 0 to below 1, got 1"),
        (lambda: kingman(0.5, -1), "work_time must be finite and 0 or more, got -1"),
        (lambda: kingman(0.5, 1, servers=0), "servers must be a whole number"),
        (lambda: in_work(-1, 1), "throughput must be finite and 0 or more, got -1"),
        (lambda: lead_time(1, 0), "throughput must be finite and above 0, got 0"),
        (lambda: lead_time(-1, 1), "in_work must be finite and 0 or more, got -1"),
        (lambda: older_than_share(-1, [1]), "age must be finite and 0 or more, got -1"),
        (lambda: older_than_share(1, [-1]), "history must be finite and 0 or more"),
        (lambda: older_than_share(1, []), "history must hold at least one"),
        (lambda: jackson([1], [2], [1], [[1.0]]), "routing must let everything leave"),
        (lambda: jackson([1], [2], [1], [[1.5]]), "routing must have shares from 0"),
        (lambda: jackson([1], [2], [1], [[0, 0]]), "routing must be 1 by 1"),
        (lambda: jackson([1], [2, 3], [1], [[0]]), "must be one for each of 1"),
    ],
)
def test_what_is_out_of_range_is_refused(call, said) -> None:
    with pytest.raises(ValueError, match=said):
        call()
