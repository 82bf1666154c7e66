"""How is a date with its clock read, as loggers and spreadsheets write it?"""

import re
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

# 9.3.2026 14:30, with seconds or without.
POINTED = re.compile(
    r"(?P<day>\d{1,2})\.(?P<month>\d{1,2})\.(?P<year>\d{4})[ T]+"
    r"(?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2})(?:[.,]\d+)?)?"
)
SLASHED = re.compile(r"\d{1,2}/\d{1,2}/\d{2,4}")


class Moment(forms.DateTimeField):
    """A moment: ISO 8601, or day.month.year; without an offset by the clock of a zone.

    What a clock shows twice, in the night when it is set back, is read as the first
    time; what it leaps over is none.
    """

    def __init__(self, *, zone: tzinfo, **options: Any) -> None:
        super().__init__(**options)
        self.zone = zone

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        if isinstance(value, datetime):
            read: datetime | None = value
        else:
            read = _read(str(value).strip())
        if read is None:
            raise ValidationError(
                _(
                    "Write day and month so that they cannot be mixed up: "
                    "2026-03-09 14:30."
                )
                if SLASHED.match(str(value).strip())
                else _("Write a day and a time, as 2026-03-09 14:30."),
                code="moment",
            )
        return self._placed(read)

    def _placed(self, read: datetime) -> datetime:
        # A spreadsheet keeps moments as parts of a day, a little beside the second.
        whole = read.replace(microsecond=0)
        whole += timedelta(seconds=1 if read.microsecond >= 500_000 else 0)
        if whole.tzinfo is not None:
            return whole.astimezone(UTC)
        moment = whole.replace(tzinfo=self.zone).astimezone(UTC)
        if moment.astimezone(self.zone).replace(tzinfo=None) != whole:
            raise ValidationError(
                _(
                    "No clock here showed this time: it was set forward over it. "
                    "The list may be by another clock."
                ),
                code="leapt",
            )
        return moment


def _read(text: str) -> datetime | None:
    found = POINTED.fullmatch(text)
    try:
        if found is None:
            # A day alone is not enough.
            return datetime.fromisoformat(text) if ":" in text else None
        parts = {name: int(part or 0) for name, part in found.groupdict().items()}
        return datetime(**parts)  # type: ignore[arg-type] # noqa: DTZ001 - placed after
    except ValueError:
        return None
