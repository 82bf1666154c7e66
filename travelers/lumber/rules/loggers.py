"""What may a logger send of a room's air?"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from travelers.kit.refusals import Refusal, gettext_noop, refusal
from travelers.lumber.rules.air import IN_THE_FUTURE, cannot_be

NAME_LENGTH = 40
# A logger that was away for three days and reads every ten minutes sends 432.
MOST_LOGGED = 1_000
# So much a logger's clock may be ahead of ours.
CLOCK_GIVE = timedelta(minutes=2)
TENTH = Decimal("0.1")

LOGGER_NAME_TAKEN = refusal(
    "lumber.logger_name_taken",
    gettext_noop("This room has had a logger {name} already."),
    gettext_noop("Give this one a name of its own."),
    status=422,
)
LOGGER_UNKNOWN = refusal(
    "lumber.logger_unknown",
    gettext_noop("No logger of this room is let in with this token."),
    gettext_noop("Ask a lead to let it in again on the page of the room."),
    status=403,
)
LOG_UNREADABLE = refusal(
    "lumber.log_unreadable",
    gettext_noop("What was sent is no list of readings."),
    gettext_noop("Send JSON in UTF-8: an object with a list named readings."),
    status=422,
)
LOG_TOO_LONG = refusal(
    "lumber.log_too_long",
    gettext_noop("{count} readings at once are more than {most}."),
    gettext_noop("Send them in several lists, the oldest first."),
    status=422,
)
NOT_A_MOMENT = refusal(
    "lumber.log_not_a_moment",
    gettext_noop("{value} is no moment with its offset from UTC."),
    gettext_noop("Send read_at as ISO 8601 writes it: 2026-03-10T08:30:00+01:00."),
    status=422,
)
NOT_A_NUMBER = refusal(
    "lumber.log_not_a_number",
    gettext_noop("{value} is not a number."),
    gettext_noop("Send °C and percent as JSON numbers, with a point and no unit."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class LogFault:
    """What is wrong in a log: at which reading, counted from 0, and in which field."""

    refusal: Refusal
    row: int | None = None
    field: str = ""


# A moment, °C and % relative humidity.
Logged = tuple[datetime, Decimal, Decimal]


def read_log(sent: Any, *, at: datetime) -> list[Logged] | LogFault:
    """Take what a logger sent, or say what is wrong with it; all of it or nothing."""
    rows = sent.get("readings") if isinstance(sent, Mapping) else None
    if not isinstance(rows, Sequence) or isinstance(rows, str) or not rows:
        return LogFault(LOG_UNREADABLE)
    if len(rows) > MOST_LOGGED:
        return LogFault(LOG_TOO_LONG.about(count=str(len(rows)), most=str(MOST_LOGGED)))
    try:
        return [_read_row(row, number, at) for number, row in enumerate(rows)]
    except _Wrong as wrong:
        return wrong.fault


class _Wrong(Exception):
    def __init__(self, refusal: Refusal, row: int, field: str = "") -> None:
        super().__init__(refusal.code)
        self.fault = LogFault(refusal, row, field)


def _read_row(row: Any, number: int, at: datetime) -> Logged:
    if not isinstance(row, Mapping):
        raise _Wrong(LOG_UNREADABLE, number)
    read_at = _moment(row.get("read_at"))
    if read_at is None:
        no = NOT_A_MOMENT.about(value=_shown(row.get("read_at")))
        raise _Wrong(no, number, "read_at")
    if read_at > at + CLOCK_GIVE:
        no = IN_THE_FUTURE.about(read_at=read_at.isoformat())
        raise _Wrong(no, number, "read_at")
    warm = _number(row, "temperature_c", number)
    damp = _number(row, "humidity_pct", number)
    if no_air := cannot_be(float(warm), float(damp)):
        field = "temperature_c" if 0 <= damp <= 100 else "humidity_pct"
        raise _Wrong(no_air, number, field)
    return read_at, warm, damp


def _moment(value: Any) -> datetime | None:
    try:
        found = datetime.fromisoformat(value)
    except (TypeError, ValueError):
        return None
    return found if found.tzinfo else None


def _number(row: Mapping[str, Any], name: str, number: int) -> Decimal:
    value = row.get(name)
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        with suppress(InvalidOperation):
            return Decimal(value).quantize(TENTH)
    raise _Wrong(NOT_A_NUMBER.about(value=_shown(value)), number, name)


def _shown(value: Any) -> str:
    return "–" if value is None else str(value)[:40]
