"""When is a station open next, and when is its work done?"""

from typing import Any

DAY = 86_400.0
WEEK = 604_800.0


def span_of(place: Any, spans: Any, days: Any, moment: float) -> tuple[int, float]:
    """Find the open time that holds or follows a moment, and how far it is shifted."""
    shift = 0.0
    if moment >= place.ends:
        shift = place.repeats * (1.0 + (moment - place.ends) // place.repeats)
        moment -= shift
    span = days[place.days + int(moment / DAY)]
    while span < place.stop and spans[span].until <= moment:
        span += 1
    if span >= place.stop:
        shift += place.repeats
        span = place.again
    return span, shift


def opening(place: Any, spans: Any, days: Any, moment: float) -> float:
    """Give the first moment from this one on at which a station is open."""
    if place.always:
        return float(moment)
    span, shift = span_of(place, spans, days, moment)
    return float(max(moment, spans[span].start + shift))


def worked(
    place: Any, spans: Any, days: Any, moment: float, work: float, weeks: Any
) -> float:
    """Give when so much work is done that begins now; count it in its weeks."""
    if place.always:
        count_weeks(weeks, moment, moment + work)
        return float(moment + work)
    span, shift = span_of(place, spans, days, moment)
    left = work
    while True:
        here = spans[span]
        start = max(moment, here.start + shift)
        room = here.until + shift - start
        week = min(int(start / WEEK), weeks.shape[0] - 1)
        if left <= room:
            weeks[week] += left
            return float(start + left)
        weeks[week] += room
        left -= room
        span += 1
        if span == place.stop:
            span = place.again
            shift += place.repeats


def count_weeks(weeks: Any, start: float, end: float) -> None:
    """Add a time to the weeks in which it lies."""
    last = weeks.shape[0] - 1
    week = min(int(start / WEEK), last)
    border = (week + 1) * WEEK
    while week < last and end > border:
        weeks[week] += border - start
        start = border
        week += 1
        border += WEEK
    weeks[week] += end - start
