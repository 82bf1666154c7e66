"""When was it, and who was it, as somebody wrote on paper?  Asked, never guessed."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from difflib import get_close_matches
from enum import StrEnum

from travelers.kit.refusals import Refusal, gettext_noop, refusal

_CLOCK = r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::\d{2})?"
_FORMS = (
    re.compile(_CLOCK),
    re.compile(
        r"(?P<day>\d{1,2})\.\s*(?P<month>\d{1,2})(?:\.\s*(?P<year>\d{4}|\d{2})?)?"
        rf"(?:,\s*|\s+){_CLOCK}"
    ),
    re.compile(
        r"(?P<year>\d{4})-(?P<month>\d{2})-(?P<day>\d{2})(?:T|,\s*|\s+)"
        rf"{_CLOCK}(?P<offset>Z|[+-]\d{{2}}:?\d{{2}})?"
    ),
)
_DAY_ALONE = re.compile(
    r"\d{1,2}\.\s*\d{1,2}(?:\.\s*(?:\d{4}|\d{2})?)?|\d{4}-\d{2}-\d{2}"
)
LONGEST_TIME = 40
# So many near initials are named.
MOST_NEAR = 4

UNREADABLE = refusal(
    "paper.time_unreadable",
    gettext_noop("“{typed}” cannot be read as a time."),
    gettext_noop("Write it like 14:20, 3.11. 14:20 or 2026-11-03 14:20."),
    status=422,
)
NO_CLOCK = refusal(
    "paper.time_no_clock",
    gettext_noop("“{typed}” is a day without a time."),
    gettext_noop("Write the time behind it, like 3.11. 14:20."),
    status=422,
)
NO_DAY = refusal(
    "paper.time_no_day",
    gettext_noop("“{typed}” has no day, and none stands in a line above."),
    gettext_noop("Write the day before it, like 3.11. 14:20."),
    status=422,
)
NO_SUCH_TIME = refusal(
    "paper.time_not_there",
    gettext_noop("“{typed}” is no day of the calendar or no time of the day."),
    gettext_noop("Look at the paper again; the day comes before the month."),
    status=422,
)
SKIPPED = refusal(
    "paper.time_skipped",
    gettext_noop("“{typed}” was never: the clocks were put forward in that night."),
    gettext_noop("Write what the shop's clock would have shown, an hour later."),
    status=422,
)
TWICE = refusal(
    "paper.time_twice",
    gettext_noop("“{typed}” was twice: the clocks were put back in that night."),
    gettext_noop("Choose the first or the second."),
    status=422,
)
BACK = refusal(
    "paper.time_back",
    gettext_noop("“{typed}” is before the line above it, {above_at}."),
    gettext_noop("If it was after midnight write the day too; else mend the time."),
    status=422,
)
TO_COME = refusal(
    "paper.time_to_come",
    gettext_noop("The time {said_at} is still to come."),
    gettext_noop("Write when it was done, not when it is to be done."),
    status=422,
)
BEFORE_RELEASE = refusal(
    "paper.time_before_release",
    gettext_noop(
        "The time {said_at} is before the instrument was released, {released_at}."
    ),
    gettext_noop("Look at the day again; the year is the latest that can be."),
    status=422,
)
TIME_MISSING = refusal(
    "paper.time_missing",
    gettext_noop("Something stands in this line, but not when it was."),
    gettext_noop("Write the time that stands on the paper."),
    status=422,
)
INITIALS_MISSING = refusal(
    "paper.initials_missing",
    gettext_noop("No initials stand beside this time."),
    gettext_noop("Write the initials of who did it."),
    status=422,
)
INITIALS_UNKNOWN = refusal(
    "paper.initials_unknown",
    gettext_noop("Nobody here has the initials {initials}."),
    gettext_noop("Look at the paper again, or ask the lead whose they are."),
    status=422,
)
INITIALS_NEAR = refusal(
    "paper.initials_near",
    gettext_noop("Nobody here has the initials {initials}; it may be {near}."),
    gettext_noop("Look at the paper again; the lead knows whose they are."),
    status=422,
)


class Which(StrEnum):
    """An hour that was twice: before the clocks were put back, or after."""

    FIRST = "FIRST"
    SECOND = "SECOND"


@dataclass(frozen=True, slots=True)
class Setting:
    """What a time on paper is read against."""

    zone: tzinfo
    now: datetime
    released_at: datetime


def read_moment(
    text: str, *, setting: Setting, above: datetime | None, which: str = ""
) -> datetime | Refusal:
    """Read a time as it was written, or say what has to be asked about it.

    1. A clock alone takes its day from the line above, and may not be before it:
       after midnight the day is written.
    2. A day without a year is the latest such day that has been.
    3. An hour that the clocks skipped is none; one that was twice needs ``which``.
    4. What is still to come, or was before the release, is none either.
    """
    typed = " ".join(text.split())
    found = _match(typed)
    if found is None:
        alone = _DAY_ALONE.fullmatch(typed)
        return (NO_CLOCK if alone else UNREADABLE).about(typed=_cut(typed))
    try:
        local = _local(found, typed, setting, above)
    except (ValueError, OverflowError):
        return NO_SUCH_TIME.about(typed=typed)
    if isinstance(local, datetime):
        local = _placed(local, typed, setting.zone, which)
    if isinstance(local, Refusal):
        return local
    has_day = found.groupdict().get("day") is not None
    if above and not has_day and local < above:
        return BACK.about(typed=typed, above_at=above.isoformat())
    return _bounded(local, setting)


def _match(typed: str) -> re.Match[str] | None:
    if len(typed) > LONGEST_TIME or not typed.isascii():
        return None
    return next((found for form in _FORMS if (found := form.fullmatch(typed))), None)


def _local(
    found: re.Match[str], typed: str, setting: Setting, above: datetime | None
) -> datetime | Refusal:
    """Put day and clock together; with a zone only where one was written."""
    said = found.groupdict()
    hour, minute = int(said["hour"]), int(said["minute"])
    ends_the_day = (hour, minute) == (24, 0)
    clock = time(0, 0) if ends_the_day else time(hour, minute)
    if said.get("day") is None:
        if above is None:
            return NO_DAY.about(typed=typed)
        day = above.astimezone(setting.zone).date()
    else:
        day = _day(said, setting.now.astimezone(setting.zone).date())
    local = datetime.combine(day, clock) + timedelta(days=ends_the_day)
    if offset := said.get("offset"):
        written = datetime.fromisoformat(f"2000-01-01T00:00{offset}")
        return local.replace(tzinfo=written.tzinfo)
    return local


def _day(said: dict[str, str | None], today: date) -> date:
    month, day, year = int(said["month"] or 0), int(said["day"] or 0), said.get("year")
    if year:
        return date(int(year) + (2000 if len(year) == 2 else 0), month, day)
    if (month, day) <= (today.month, today.day):
        return date(today.year, month, day)
    return date(today.year - 1, month, day)


def _placed(
    local: datetime, typed: str, zone: tzinfo, which: str
) -> datetime | Refusal:
    """Find the moment of a local time, which the clocks may skip or show twice."""
    if local.tzinfo is not None:
        return local.astimezone(UTC)
    first, second = (
        local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1)
    )
    if first.astimezone(zone).replace(tzinfo=None) != local:
        return SKIPPED.about(typed=typed)
    if first == second:
        return first
    if which not in list(Which):
        return TWICE.about(typed=typed)
    return first if which == Which.FIRST else second


def _bounded(at: datetime, setting: Setting) -> datetime | Refusal:
    if at > setting.now:
        return TO_COME.about(said_at=at.isoformat())
    if at < setting.released_at.replace(second=0, microsecond=0):
        released = setting.released_at.isoformat()
        return BEFORE_RELEASE.about(said_at=at.isoformat(), released_at=released)
    return at


def no_such_initials(typed: str, known: Iterable[tuple[str, str]]) -> Refusal:
    """Say that nobody has these initials, and who has near ones.

    ``known`` are initials and names.
    """
    names = dict(known)
    near = get_close_matches(typed.upper(), names, n=MOST_NEAR, cutoff=0.5)
    shown = _cut(typed)
    if not near:
        return INITIALS_UNKNOWN.about(initials=shown)
    told = ", ".join(f"{one} ({names[one]})" for one in near)
    return INITIALS_NEAR.about(initials=shown, near=told)


def _cut(text: str) -> str:
    return text if len(text) <= 24 else f"{text[:24]}…"
