"""Does the cut plan give the most whole sets, and can a saw make it?"""

import math
from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from travelers.formulas.cutting import (
    CutPlan,
    First,
    Part,
    Place,
    Plank,
    plan,
)

BODY = Part("body", 2, 520, 180, 50)
NECK = Part("neck", 1, 700, 100, 25)

PARTS = st.lists(
    st.builds(
        Part,
        name=st.just("part"),
        pieces=st.integers(1, 3),
        length_mm=st.integers(300, 900),
        width_mm=st.integers(40, 200),
        thickness_mm=st.sampled_from([25, 50]),
        wanted=st.one_of(st.none(), st.integers(0, 4)),
    ),
    min_size=1,
    max_size=3,
)
PLANKS = st.builds(
    Plank,
    length_mm=st.integers(300, 3500),
    width_mm=st.integers(40, 450),
    thickness_mm=st.sampled_from([24, 50]),
    edge_trim_mm=st.integers(0, 10),
    end_trim_mm=st.integers(0, 40),
)
KERFS = st.sampled_from([0, 1.5, 3, 3.2])


# A 1,000 mm board gives as many pieces as the arithmetic of the saw says.
@pytest.mark.parametrize(
    ("length", "kerf", "trim", "pieces"),
    [
        (1000, 0, 0, 10),
        (1000, 3, 0, 9),
        (1027, 3, 0, 10),
        (1026.9, 3, 0, 9),
        (1047, 3, 10, 10),
        (1046.9, 3, 10, 9),
        (99.9, 3, 0, 0),
    ],
)
def test_cuts_and_trims_take_their_wood(length, kerf, trim, pieces) -> None:
    found = plan(
        Plank(length, 50, 50, end_trim_mm=trim), [Part("part", 1, 100, 50, 50)], kerf
    )
    assert found.sets == (pieces,)


def test_ten_pieces_of_a_tenth_of_a_millimetre_more_fit_exactly() -> None:
    found = plan(Plank(1001, 50, 50), [Part("part", 1, 100.1, 50, 50)], 0)
    assert found.sets == (10,)
    assert found.offcuts == ()
    assert found.yield_share == pytest.approx(1)


def overlap(one: Place, other: Place, kerf: float) -> bool:
    slack = kerf - 1e-6
    return (
        one.x_mm < other.x_mm + other.length_mm + slack
        and other.x_mm < one.x_mm + one.length_mm + slack
        and one.y_mm < other.y_mm + other.width_mm + slack
        and other.y_mm < one.y_mm + one.width_mm + slack
    )


def must_be_whole(found: CutPlan) -> None:
    """Every set has all its pieces, of the size that was asked."""
    places = list(found.places)
    count = Counter((place.part, place.set) for place in places)
    for part, (number, asked) in enumerate(zip(found.sets, found.parts, strict=True)):
        assert {n for p, n in count if p == part} == set(range(1, number + 1))
        assert all(count[part, n] == asked.pieces for n in range(1, number + 1))
    for place in places:
        asked = found.parts[place.part]
        assert (place.length_mm, place.width_mm) == (asked.length_mm, asked.width_mm)
        assert asked.thickness_mm <= found.plank.thickness_mm


def must_lie_apart(found: CutPlan) -> None:
    """No piece or rest lies in another or nearer to a piece than the cut is wide."""
    places = list(found.places)
    for at, one in enumerate(places):
        assert not any(overlap(one, other, found.kerf_mm) for other in places[:at])
    for rest in found.offcuts:
        corner = Place(0, 0, 0, rest.x_mm, rest.y_mm, rest.length_mm, rest.width_mm)
        assert not any(overlap(corner, place, found.kerf_mm) for place in places)


def must_lie_in(box: Any, x: float, y: float, length: float, width: float) -> None:
    slack = 1e-6
    assert x - slack <= box.x_mm
    assert y - slack <= box.y_mm
    assert box.x_mm + box.length_mm <= x + length + slack
    assert box.y_mm + box.width_mm <= y + width + slack


def must_be_sawable(found: CutPlan) -> None:
    must_be_whole(found)
    must_lie_apart(found)
    plank, (length, width) = found.plank, found.plank.room_mm
    for box in (*found.sections, *found.offcuts):
        must_lie_in(box, plank.end_trim_mm, plank.edge_trim_mm, length, width)
    for section in found.sections:
        if found.first is First.CROSSCUT:
            assert section.width_mm == pytest.approx(width)
        else:
            assert section.length_mm == pytest.approx(length)
        for place in section.places:
            must_lie_in(
                place, section.x_mm, section.y_mm, section.length_mm, section.width_mm
            )


@given(plank=PLANKS, parts=PARTS, kerf=KERFS)
@settings(max_examples=80, deadline=None)
def test_every_plan_can_be_sawn(plank, parts, kerf) -> None:
    must_be_sawable(plan(plank, parts, kerf))


@given(plank=PLANKS, parts=PARTS, kerf=KERFS)
@settings(max_examples=60, deadline=None)
def test_no_set_is_cut_that_nobody_wants(plank, parts, kerf) -> None:
    found = plan(plank, parts, kerf)
    for number, part in zip(found.sets, parts, strict=True):
        assert number <= (math.inf if part.wanted is None else part.wanted)
    assert 0 <= found.yield_share <= 1


def rank(found: CutPlan) -> tuple[int, float]:
    """Say what a plan is judged by: wanted sets, then wood in whole sets."""
    wanted = sum(
        number
        for number, part in zip(found.sets, found.parts, strict=True)
        if part.wanted is not None
    )
    area = found.yield_share * found.plank.length_mm * found.plank.width_mm
    return wanted, round(area)


@given(
    plank=PLANKS,
    parts=PARTS,
    kerf=KERFS,
    more=st.integers(1, 200),
    what=st.sampled_from(["length_mm", "width_mm"]),
)
@settings(max_examples=60, deadline=None)
def test_a_larger_plank_never_gives_less(plank, parts, kerf, more, what) -> None:
    sizes = {name: getattr(plank, name) for name in Plank.__slots__}
    larger = Plank(**(sizes | {what: sizes[what] + more}))
    assert rank(plan(larger, parts, kerf)) >= rank(plan(plank, parts, kerf))


@given(plank=PLANKS, parts=PARTS)
@settings(max_examples=60, deadline=None)
def test_a_thinner_saw_never_gives_less(plank, parts) -> None:
    assert rank(plan(plank, parts, 1.5)) >= rank(plan(plank, parts, 3.2))


def test_both_orders_are_said_and_the_better_is_taken() -> None:
    mixed = plan(
        Plank(1800, 150, 50),
        [Part("long", 1, 900, 60, 50), Part("short", 1, 600, 90, 50)],
        0,
    )
    assert mixed.first is First.RIP
    assert mixed.sets == (2, 3)
    assert mixed.yield_share == pytest.approx(1)
    assert mixed.other.first is First.CROSSCUT
    assert sum(mixed.other.sets) < 5


def test_of_equal_plans_the_one_with_fewer_cuts_is_taken() -> None:
    found = plan(Plank(1000, 100, 50), [Part("a", 4, 500, 50, 50)], 0)
    assert found.sets == found.other.sets == (1,)
    assert (found.first, found.cuts, found.other.cuts) == (First.CROSSCUT, 3, 3)
    found = plan(Plank(1500, 100, 50), [Part("a", 6, 500, 50, 50)], 0)
    assert (found.first, found.cuts, found.other.cuts) == (First.CROSSCUT, 5, 5)
    found = plan(Plank(1510, 100, 50), [Part("a", 6, 500, 50, 50)], 0)
    assert (found.first, found.cuts, found.other.cuts) == (First.CROSSCUT, 6, 7)
    found = plan(Plank(1500, 110, 50), [Part("a", 6, 500, 50, 50)], 0)
    assert (found.first, found.cuts, found.other.cuts) == (First.RIP, 6, 8)


def test_wanted_sets_come_before_those_that_fill() -> None:
    alone = plan(Plank(2400, 300, 50), [NECK], 3)
    assert alone.sets == (6,)
    body = Part("body", 2, 520, 180, 50, wanted=1)
    both = plan(Plank(2400, 300, 50), [body, NECK], 3)
    assert both.sets[0] == 1
    assert both.sets[1] >= 2
    assert both.missing == (0, 0)


def test_what_does_not_fit_is_no_set_and_is_missing() -> None:
    thick = Part("thick", 1, 500, 100, 51, wanted=2)
    found = plan(Plank(2400, 300, 50), [thick, Part("wide", 1, 500, 301, 20)], 3)
    assert found.sets == (0, 0)
    assert found.missing == (2, 0)
    assert list(found.places) == []
    assert [rest.area_mm2 for rest in found.offcuts] == [2400 * 300]


def test_trims_may_leave_nothing() -> None:
    found = plan(Plank(1000, 100, 50, edge_trim_mm=50), [NECK], 3)
    assert found.sets == (0,)
    assert found.offcuts == ()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        (lambda: Plank(0, 100, 50), "length_mm must be above 0"),
        (lambda: Plank(1000, math.nan, 50), "width_mm must be above 0"),
        (lambda: Plank(1000, 100, math.inf), "thickness_mm must be above 0"),
        (lambda: Plank(1000, 100, 50, edge_trim_mm=-1), "edge_trim_mm must be 0"),
        (lambda: Plank(1000, 100, 50, end_trim_mm=math.inf), "end_trim_mm must be 0"),
        (lambda: Part("x", 0, 500, 100, 50), "pieces must be 1 or more, got 0"),
        (lambda: Part("x", 1, -500, 100, 50), "length_mm must be above 0"),
        (lambda: Part("x", 1, 500, 100, 50, wanted=-1), "wanted must be 0 or more"),
        (lambda: plan(Plank(1000, 100, 50), [], 3), "parts must be 1 or more"),
        (lambda: plan(Plank(1000, 100, 50), [BODY], -1), "kerf_mm must be 0 or more"),
        (lambda: plan(Plank(1000, 100, 50), [BODY], math.nan), "kerf_mm must be 0"),
    ],
)
def test_what_is_no_size_is_refused_by_name(what, said) -> None:
    with pytest.raises(ValueError, match=said):
        what()
