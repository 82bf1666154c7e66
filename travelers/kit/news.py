"""Is there anything new for a screen that asks by itself?

A screen says in a word what it has seen: how the records stood, and the moment at which
it changes though nothing happens, since a dwell is over or a day ends.  Until then it
hears nothing.
"""

import math
import re
from collections.abc import Iterable
from datetime import datetime, time, timedelta

from django.utils import timezone

# What changes without a word in the records is told by then: a name, a due date.
AT_THE_LATEST = timedelta(minutes=5)
SECONDS = re.compile(r"[0-9]{1,12}")


def seen_word(
    pulse: str,
    *,
    at: datetime,
    changes: Iterable[datetime | None] = (),
    within: timedelta = AT_THE_LATEST,
) -> str:
    """Name what a screen drawn at a moment shows, and until when that is true."""
    soonest = min([at + within, *(one for one in changes if one and one > at)])
    return f"{pulse}-{math.ceil(soonest.timestamp())}"


def is_seen(word: str, *, pulse: str, at: datetime) -> bool:
    """Say whether a screen with that word still shows what there is."""
    seen, _, until = word.rpartition("-")
    if seen != pulse or not SECONDS.fullmatch(until):
        return False
    return at.timestamp() < int(until)


def end_of_day(at: datetime) -> datetime:
    """Give the moment at which the shop's next day begins."""
    tomorrow = timezone.localdate(at) + timedelta(days=1)
    return datetime.combine(tomorrow, time(), tzinfo=timezone.get_current_timezone())
