"""Which part is taken first, and why?"""

from datetime import UTC, date, datetime, timedelta

from travelers.floor.rules.queue import Waiting, Why, line_up

AT = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
TODAY = date(2026, 3, 10)
HOUR = timedelta(hours=1)


def waiting(key: int, due: int = 30, hours: float = 1, **more: object) -> Waiting:
    """Make a part that is due in so many days and has been ready so many hours."""
    ready = AT - HOUR * hours
    return Waiting(key, TODAY + timedelta(days=due), ready, **more)  # type: ignore[arg-type]


def line(*parts: Waiting) -> list[tuple[int, Why]]:
    return [(one.key, one.why) for one in line_up(parts, at=AT, today=TODAY)]


def test_the_earliest_due_date_goes_first_then_the_longest_wait() -> None:
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
