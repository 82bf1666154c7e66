"""When is a station open?"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

DAY_S = 86_400
WEEK_S = 7 * DAY_S


@dataclass(frozen=True, slots=True)
class Hours:
    """Open times, in whole seconds since the moment that the forecast starts from.

    Attributes
    ----------
    opens : tuple of pairs
        ``(from, until)``, in order, apart from each other, from 0 on.
    ends_s : int
        How far ``opens`` tells.
    repeats_s : int
        From there on, the last so many seconds come again and again.
    """

    opens: tuple[tuple[int, int], ...]
    ends_s: int
    repeats_s: int

    def __post_init__(self) -> None:
        """Refuse what is out of its range."""
        last = 0
        for start, end in self.opens:
            if not last <= start < end <= self.ends_s:
                raise ValueError(
                    f"opens must be in order, apart and from 0 to {self.ends_s}, "
                    f"got {(start, end)}"
                )
            last = end
        if not 0 < self.repeats_s <= self.ends_s:
            raise ValueError(
                f"repeats_s must be above 0 and at most {self.ends_s}, "
                f"got {self.repeats_s!r}"
            )
        if not any(end > self.ends_s - self.repeats_s for _, end in self.opens):
            raise ValueError(
                "opens must hold a time in what is repeated, got none in the last "
                f"{self.repeats_s} s"
            )


ALWAYS = Hours(((0, WEEK_S),), WEEK_S, WEEK_S)
"""Day and night, every day."""


def hours(opens: Iterable[tuple[float, float]], *, repeats_s: float = WEEK_S) -> Hours:
    """Make hours of any open times; those that touch or overlap become one.

    Parameters
    ----------
    opens : iterable of pairs
        ``(from, until)`` in seconds since the forecast's start, rounded to whole ones;
        what lies before 0 is cut off.
    repeats_s : float
        After the last one, so many seconds come again and again.

    Returns
    -------
    Hours

    Raises
    ------
    ValueError
        If there is no open time in what is repeated.

    Examples
    --------
    >>> hours([(-50, 100), (100, 200), (400, 500)], repeats_s=300).opens
    ((0, 200), (400, 500))
    """
    merged: list[tuple[int, int]] = []
    for start, end in sorted((max(0, round(a)), round(b)) for a, b in opens):
        if end <= start:
            continue
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    again = round(repeats_s)
    return Hours(tuple(merged), max(again, merged[-1][1] if merged else 0), again)


def weekly(
    opens: Sequence[tuple[float, float]],
    *,
    starts_s: float = 0,
    closed_days: Iterable[int] = (),
    weeks: int = 52,
) -> Hours:
    """Make hours of one week's pattern, less some closed days.

    Parameters
    ----------
    opens : sequence of pairs
        ``(from, until)`` in seconds since Monday 0:00.
    starts_s : float
        How many seconds since Monday 0:00 the forecast starts.
    closed_days : iterable of int
        Days on which nobody comes, counted from that Monday as 0.
    weeks : int
        How many weeks the closed days are looked at, from 1; later weeks are like the
        pattern.

    Returns
    -------
    Hours

    Raises
    ------
    ValueError
        If the pattern has no open time, or there are too few weeks.

    Notes
    -----
    Every week has the same seconds: a change to summer time is not in a pattern. Who
    needs it gives moments to :func:`hours`.

    Examples
    --------
    >>> weekly([(8 * 3600, 9 * 3600)], closed_days=[0], weeks=2).opens
    ((633600, 637200), (1238400, 1242000))
    """
    if not weeks >= 1:
        raise ValueError(f"weeks must be at least 1, got {weeks!r}")
    shut = set(closed_days)
    found = [
        (week * WEEK_S + start - starts_s, week * WEEK_S + end - starts_s)
        for week in range(weeks + 1)
        for start, end in opens
        if week * 7 + int(start // DAY_S) not in shut or week == weeks
    ]
    end = round((weeks + 1) * WEEK_S - starts_s)
    made = hours(found)
    return Hours(made.opens, end, WEEK_S)
