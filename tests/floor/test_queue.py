"""Which part is taken first, and why?"""

from datetime import UTC, date, datetime, timedelta
from itertools import permutations, product
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from travelers.floor.rules.queue import FIRM, LOOSE, Waiting, Why, changes, line_up

AT = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
TODAY = date(2026, 3, 10)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def waiting(key: int, due: int = 30, hours: float = 1, **more: Any) -> Waiting:
    """Make a part wanted in so many days that has been ready so many hours."""
    return Waiting(key, TODAY + timedelta(days=due), AT - HOUR * hours, **more)


def line(*parts: Waiting, room: int = 0) -> list[tuple[int, Why]]:
    placed = line_up(parts, at=AT, today=TODAY, room=room)
    return [(one.key, one.why) for one in placed]


def test_the_earliest_day_goes_first_then_the_longest_wait() -> None:
    assert line(
        waiting(1, due=30), waiting(2, due=10), waiting(3, due=10, hours=9)
    ) == [(3, Why.DUE), (2, Why.WAITED), (1, Why.DUE)]


def test_what_is_late_says_so() -> None:
    assert line(waiting(1, due=0), waiting(2, due=-1)) == [(2, Why.LATE), (1, Why.DUE)]


def test_a_window_that_closes_within_a_day_goes_before_every_due_date() -> None:
    soon, later = AT + HOUR * 24, AT + HOUR * 25
    assert line(
        waiting(1, due=-9),
        waiting(2, due=90, not_after=soon),
        waiting(3, due=91, not_after=AT + HOUR),
        waiting(4, due=5, not_after=later),
    ) == [(3, Why.CLOSING), (2, Why.CLOSING), (1, Why.LATE), (4, Why.DUE)]


def test_what_is_pinned_goes_before_what_is_late_and_behind_what_closes() -> None:
    assert line(
        waiting(1, due=-9),
        waiting(2, due=90, pinned=True),
        waiting(3, due=91, not_after=AT + HOUR),
        waiting(4, due=80, pinned=True),
    ) == [(3, Why.CLOSING), (4, Why.PINNED), (2, Why.PINNED), (1, Why.LATE)]


def test_a_pin_frees_nothing_that_cannot_be_taken() -> None:
    placed = line_up(
        [
            waiting(1, pinned=True, held=True),
            waiting(2, pinned=True, not_before=AT + HOUR),
            waiting(3, pinned=True, not_after=AT - HOUR),
            waiting(4, due=900),
        ],
        at=AT,
        today=TODAY,
    )
    assert [(one.key, one.why) for one in placed] == [
        (4, Why.DUE),
        (2, Why.RESTS),
        (3, Why.RAN_OUT),
        (1, Why.HELD),
    ]


def test_of_one_day_a_part_whose_mates_wait_goes_first() -> None:
    assert line(
        waiting(1, hours=50), waiting(2, mates_wait=True), waiting(3, hours=2)
    ) == [(2, Why.MATES_WAIT), (1, Why.DUE), (3, Why.WAITED)]


def test_mates_that_wait_are_no_reason_where_nothing_is_overtaken() -> None:
    assert line(waiting(1, mates_wait=True), waiting(2, due=31)) == [
        (1, Why.DUE),
        (2, Why.DUE),
    ]


def test_a_part_that_would_wait_for_its_mates_is_wanted_when_they_come() -> None:
    """Though its order is the more urgent, doing it now would help nobody."""
    far = TODAY + timedelta(days=40)
    assert line(waiting(1, due=-5, mates_by=far), waiting(2, due=20)) == [
        (2, Why.DUE),
        (1, Why.MATES_COME),
    ]
    near = TODAY + timedelta(days=2)
    assert line(waiting(1, due=5, mates_by=near), waiting(2, due=20)) == [
        (1, Why.DUE),
        (2, Why.DUE),
    ]


def test_what_cannot_be_taken_stands_behind_what_can() -> None:
    rests = waiting(1, due=-9, not_before=AT + HOUR)
    ran_out = waiting(2, due=-9, not_after=AT - HOUR)
    held = waiting(3, due=-9, held=True, not_after=AT + HOUR)
    placed = line_up([held, ran_out, rests, waiting(4)], at=AT, today=TODAY)
    assert [(one.key, one.why, one.can_be_taken) for one in placed] == [
        (4, Why.DUE, True),
        (1, Why.RESTS, False),
        (2, Why.RAN_OUT, False),
        (3, Why.HELD, False),
    ]
    assert placed[1].until == AT + HOUR
    assert placed[2].until == AT - HOUR


def test_at_the_moment_itself_a_part_may_begin_and_may_still_begin() -> None:
    assert line(waiting(1, not_before=AT, not_after=AT)) == [(1, Why.CLOSING)]


def test_equals_stand_in_the_order_of_their_steps() -> None:
    assert [key for key, _ in line(waiting(2), waiting(1), waiting(3))] == [1, 2, 3]


def test_an_empty_line() -> None:
    assert line() == []
    assert line(room=3) == []


# --- Loads


def test_what_lies_equally_long_and_fits_in_stands_with_the_first() -> None:
    parts = [
        waiting(1, due=10, lies=DAY * 60),
        waiting(2, due=11, lies=DAY * 20),
        waiting(3, due=12, lies=DAY * 60),
        waiting(4, due=13, lies=DAY * 60),
    ]
    assert line(*parts, room=2) == [
        (1, Why.DUE),
        (3, Why.LOAD),
        (2, Why.DUE),
        (4, Why.DUE),
    ]
    placed = line_up(parts, at=AT, today=TODAY, room=2)
    assert [one.beside for one in placed] == [None, 1, None, None]
    assert line(*parts, room=0) == line(*parts, room=1)
    assert [key for key, _ in line(*parts, room=1)] == [1, 2, 3, 4]


def test_nothing_that_is_late_pinned_or_closing_is_overtaken_for_a_load() -> None:
    firm = [
        waiting(1, due=50, lies=DAY, not_after=AT + HOUR),
        waiting(2, due=60, lies=DAY * 2, pinned=True),
        waiting(3, due=-2, lies=DAY * 2),
    ]
    loose = [waiting(4, lies=DAY * 2), waiting(5, due=31, lies=DAY)]
    assert line(*firm, *loose, room=4) == [
        (1, Why.CLOSING),
        (2, Why.PINNED),
        (3, Why.LATE),
        (5, Why.LOAD),
        (4, Why.DUE),
    ]
    # Three places go to those who are urgent: none is left to be filled up.
    assert [key for key, _ in line(*firm, *loose, room=3)] == [1, 2, 3, 4, 5]


def test_no_load_forms_round_what_cannot_go_in() -> None:
    held = waiting(1, held=True, lies=DAY)
    assert line(held, waiting(2, held=True, lies=DAY), room=5) == [
        (1, Why.HELD),
        (2, Why.HELD),
    ]


# --- What holds of every line

moments = st.none() | st.integers(-80, 80).map(lambda hours: AT + HOUR * hours)
days = st.integers(-9, 9).map(lambda n: TODAY + timedelta(days=n))
made = st.builds(
    Waiting,
    key=st.integers(1, 10**6),
    done_by=days,
    ready_at=st.integers(0, 5).map(lambda hours: AT - HOUR * hours),
    held=st.booleans(),
    not_before=moments,
    not_after=moments,
    pinned=st.booleans(),
    mates_wait=st.booleans(),
    mates_by=st.none() | days,
    lies=st.sampled_from([None, DAY, DAY * 60]),
)
lines = st.lists(made, max_size=12, unique_by=lambda one: one.key)
rooms = st.integers(0, 8)


@given(lines, rooms, st.randoms())
def test_the_order_is_total_and_whoever_asks_gets_the_same(
    parts: list[Waiting], room: int, luck: Any
) -> None:
    placed = line_up(parts, at=AT, today=TODAY, room=room)
    assert sorted(one.key for one in placed) == sorted(one.key for one in parts)
    shuffled = list(parts)
    luck.shuffle(shuffled)
    assert line_up(shuffled, at=AT, today=TODAY, room=room) == placed


@given(lines, rooms, st.floats(0, 1))
def test_nothing_changes_between_the_moments_that_are_named(
    parts: list[Waiting], room: int, share: float
) -> None:
    """A screen that shows the line need not be drawn anew until then."""
    soonest = min(
        (one for one in changes(parts) if one > AT), default=AT + timedelta(hours=9)
    )
    between = AT + min(share, 0.999) * (soonest - AT)
    now, then = (line_up(parts, at=at, today=TODAY, room=room) for at in (AT, between))
    assert now == then


def test_a_line_changes_at_the_moments_that_are_named() -> None:
    part = waiting(1, not_before=AT + HOUR, not_after=AT + HOUR * 30)
    told = [
        line_up([part], at=at + step, today=TODAY)[0].why
        for at in changes([part])
        for step in (-timedelta.resolution, timedelta())
    ]
    assert told == [
        *(Why.RESTS, Why.DUE),
        *(Why.DUE, Why.CLOSING),
        *(Why.CLOSING, Why.RAN_OUT),
    ]


@given(lines, rooms)
def test_groups_stand_one_behind_the_other(parts: list[Waiting], room: int) -> None:
    order = (
        (Why.CLOSING,),
        (Why.PINNED,),
        (Why.LATE, Why.DUE, Why.WAITED, Why.MATES_WAIT, Why.MATES_COME, Why.LOAD),
        (Why.RESTS,),
        (Why.RAN_OUT,),
        (Why.HELD,),
    )
    group = {why: place for place, some in enumerate(order) for why in some}
    assert set(group) == set(Why)
    seen = [group[why] for _, why in line(*parts, room=room)]
    assert seen == sorted(seen)
    can = {one.key for one in parts if one.pinned}
    for one in line_up(parts, at=AT, today=TODAY, room=room):
        assert (one.why is Why.PINNED) <= (one.key in can)
        assert (one.beside is not None) == (one.why is Why.LOAD)


@given(lines, rooms)
def test_a_load_moves_only_what_has_time(parts: list[Waiting], room: int) -> None:
    """Without those moved up all stand as they would stand without a load."""
    with_load = line_up(parts, at=AT, today=TODAY, room=room)
    moved = {one.key for one in with_load if one.why is Why.LOAD}
    plain = [key for key, _ in line(*parts)]
    assert [one.key for one in with_load if one.key not in moved] == [
        key for key in plain if key not in moved
    ]
    can_be_taken = sum(one.can_be_taken for one in with_load)
    assert len(moved) <= max(0, min(room, can_be_taken) - 1)
    by_key = {one.key: one for one in parts}
    for key in moved:
        assert by_key[key].wanted_on >= TODAY
        assert not by_key[key].pinned


def test_what_may_be_overtaken_and_what_not_are_told_apart() -> None:
    assert not set(FIRM) & set(LOOSE)


# --- Outside checks


def lateness(order: tuple[int, ...], took: list[int], due: list[int]) -> int:
    clock, worst = 0, -(10**9)
    for job in order:
        clock += took[job]
        worst = max(worst, clock - due[job])
    return worst


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(0, 30)), min_size=1, max_size=6)
)
def test_on_one_machine_no_order_has_a_smaller_greatest_lateness(
    jobs: list[tuple[int, int]],
) -> None:
    """All else equal it is the rule of the earliest due date.

    J. R. Jackson, Scheduling a production line to minimize maximum tardiness,
    Management Science Research Project 43, UCLA 1955 (the result from memory): by due
    date the greatest lateness is least.  Here against all orders there are.
    """
    took = [days_ for days_, _ in jobs]
    due = [day for _, day in jobs]
    parts = [waiting(key, due=day) for key, day in enumerate(due)]
    ours = tuple(key for key, _ in line(*parts))
    best = min(lateness(order, took, due) for order in permutations(range(len(jobs))))
    assert lateness(ours, took, due) == best


@given(
    st.lists(
        st.tuples(st.integers(1, 9), st.integers(0, 30), st.integers(0, 30)),
        min_size=1,
        max_size=6,
    )
)
def test_what_comes_after_is_counted_back_from_the_due_date(
    jobs: list[tuple[int, int, int]],
) -> None:
    """With work behind the machine: due dates less what comes after (Jackson again).

    Finishing d days behind the machine by D is finishing there by D - d.
    """
    took = [days_ for days_, _, _ in jobs]
    here = [day - behind for _, day, behind in jobs]
    parts = [waiting(key, due=day) for key, day in enumerate(here)]
    ours = tuple(key for key, _ in line(*parts))

    def worst(order: tuple[int, ...]) -> int:
        clock, found = 0, -(10**9)
        for job in order:
            clock += took[job]
            found = max(found, clock + jobs[job][2] - jobs[job][1])
        return found

    assert worst(ours) == min(map(worst, permutations(range(len(jobs)))))


def test_slack_would_make_the_greatest_lateness_greater() -> None:
    """Why a step's own work is not taken off: two jobs, worked out by hand.

    Of one day due on day 2 and ten days due on day 10 the second has less slack.
    Taken first, it makes the first nine days late; in our order nobody is later than
    one day.
    """
    took, due = [1, 10], [2, 10]
    ours = tuple(
        key for key, _ in line(*(waiting(n, due=d) for n, d in enumerate(due)))
    )
    assert (ours, lateness(ours, took, due)) == ((0, 1), 1)
    assert lateness((1, 0), took, due) == 9


def test_fewest_late_orders_is_another_goal() -> None:
    """The rule does not promise it: Moore (1968) with Hodgson drops the longest job.

    J. M. Moore, An n job, one machine sequencing algorithm for minimizing the number
    of late jobs, Management Science 15 (1968); algorithm from memory, held against all
    orders.  Somewhere the earliest due date has more late jobs than that.
    """
    worse = 0
    for took in product((1, 2, 6), repeat=3):
        for due in product((2, 6, 7), repeat=3):
            jobs = list(zip(took, due, strict=True))
            fewest = min(late(order, jobs) for order in permutations(range(3)))
            assert moore_hodgson(jobs) == fewest
            parts = [waiting(key, due=day) for key, day in enumerate(due)]
            ours = tuple(key for key, _ in line(*parts))
            assert late(ours, jobs) >= fewest
            worse += late(ours, jobs) > fewest
    assert worse > 0


def late(order: tuple[int, ...], jobs: list[tuple[int, int]]) -> int:
    clock = count = 0
    for job in order:
        clock += jobs[job][0]
        count += clock > jobs[job][1]
    return count


def moore_hodgson(jobs: list[tuple[int, int]]) -> int:
    kept: list[int] = []
    for took, due in sorted(jobs, key=lambda job: job[1]):
        kept.append(took)
        if sum(kept) > due:
            kept.remove(max(kept))
    return len(jobs) - len(kept)
