"""When is each station open, in the past and to come?"""

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from itertools import accumulate
from typing import Any
from zoneinfo import ZoneInfo

from travelers.formulas.forecast import ALWAYS, Hours, hours
from travelers.shop.models import ClosedDay, Shift, Station

DAY = timedelta(days=1)
WEEK = timedelta(days=7)
# So far ahead closed days are looked at; the week after it, without any, repeats.
WEEKS = 78


@dataclass(frozen=True, slots=True)
class Worked:
    """The open times of a station that lie behind: seconds since 1970, in order."""

    starts: tuple[float, ...]
    ends: tuple[float, ...]
    before: tuple[float, ...]

    @classmethod
    def of(cls, opens: Sequence[tuple[float, float]]) -> "Worked":
        lengths = (end - start for start, end in opens)
        return cls(
            tuple(start for start, _ in opens),
            tuple(end for _, end in opens),
            (0.0, *accumulate(lengths)),
        )

    def open_s(self, at: datetime) -> float:
        """Say how many open seconds have passed until a moment."""
        moment = at.timestamp()
        place = bisect_right(self.starts, moment)
        if not place:
            return 0.0
        over = self.ends[place - 1] - moment
        return self.before[place] - max(0.0, over)

    def between_s(self, since: datetime, until: datetime) -> float:
        return max(0.0, self.open_s(until) - self.open_s(since))


@dataclass(frozen=True, slots=True)
class Calendar:
    """The shop's shifts and closed days, by the clock on its wall."""

    zone: ZoneInfo
    shifts: Mapping[int, tuple[str, time, time]]
    closed: frozenset[date]
    # Stations share their shifts: their open times are reckoned once.
    kept: dict[object, Any] = field(default_factory=dict, compare=False, repr=False)

    def opens(
        self, shift_ids: Iterable[int], since: date, until: date
    ) -> list[tuple[float, float]]:
        """Give the open times of some shifts together, from a day to before another."""
        shift_ids = tuple(shift_ids)
        name = (shift_ids, since, until)
        if name not in self.kept:
            found: list[tuple[float, float]] = []
            for day in _days(since, until):
                if day not in self.closed:
                    found += self._day(shift_ids, day)
            self.kept[name] = _merged(found)
        return list(self.kept[name])

    def worked(
        self, shift_ids: Sequence[int], since: datetime, until: datetime
    ) -> Worked:
        """Give the open times that lie behind; without a shift it is always open."""
        if not shift_ids:
            return Worked.of([(since.timestamp(), until.timestamp())])
        first, last = (moment.astimezone(self.zone).date() for moment in (since, until))
        return Worked.of(self.opens(shift_ids, first, last + DAY))

    def ahead(
        self,
        shift_ids: Sequence[int],
        at: datetime,
        out: tuple[date, date] | None = None,
    ) -> Hours:
        """Give the open times to come; ``out`` are two days between which none is.

        After so many weeks one week without closed days comes again and again.
        """
        if not shift_ids:
            return ALWAYS if out is None else self._out_of_use(at, out)
        here = at.astimezone(self.zone).date()
        monday = here - timedelta(days=here.weekday()) + WEEKS * WEEK
        known = self.opens(shift_ids, here, monday)
        if out is not None:
            first, last = self._midnight(out[0]), self._midnight(out[1] + DAY)
            known = _without(known, first, last)
        for day in _days(monday, monday + WEEK):
            known += self._day(shift_ids, day)
        since = at.timestamp()
        told = hours([(start - since, end - since) for start, end in known])
        ends = round(self._midnight(monday + WEEK) - since)
        return Hours(told.opens, max(ends, told.ends_s), told.repeats_s)

    def _out_of_use(self, at: datetime, out: tuple[date, date]) -> Hours:
        since = at.timestamp()
        first, last = self._midnight(out[0]), self._midnight(out[1] + DAY)
        end = last - since + 2 * WEEK.total_seconds()
        return hours([(0, first - since), (last - since, end)])

    def _midnight(self, day: date) -> float:
        return datetime.combine(day, time(), tzinfo=self.zone).timestamp()

    def _day(self, shift_ids: Iterable[int], day: date) -> list[tuple[float, float]]:
        found = []
        for shift in shift_ids:
            weekdays, starts, ends = self.shifts[shift]
            if str(day.isoweekday()) in weekdays:
                both = (
                    datetime.combine(day, clock, tzinfo=self.zone).astimezone(UTC)
                    for clock in (starts, ends)
                )
                start, end = (moment.timestamp() for moment in both)
                found.append((start, end))
        return _merged(found)


def calendar(*, zone: ZoneInfo) -> Calendar:
    """Read the shifts and closed days."""
    return Calendar(
        zone,
        {
            pk: (weekdays, starts, ends)
            for pk, weekdays, starts, ends in Shift.objects.order_by("id").values_list(
                "id", "weekdays", "starts", "ends"
            )
        },
        frozenset(ClosedDay.objects.values_list("day", flat=True)),
    )


def shifts_of(station: Station, known: Calendar) -> tuple[int, ...]:
    """Name the shifts of a station; one without lies where any shift comes by."""
    return (station.shift_id,) if station.shift_id else tuple(known.shifts)


def _days(since: date, until: date) -> Iterable[date]:
    for n in range((until - since).days):
        yield since + timedelta(days=n)


def _merged(opens: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    found: list[tuple[float, float]] = []
    for start, end in sorted(opens):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return found


def _without(
    opens: Iterable[tuple[float, float]], first: float, last: float
) -> list[tuple[float, float]]:
    """Cut a time out of the open times."""
    found = []
    for start, end in opens:
        found += [(start, min(end, first)), (max(start, last), end)]
    return [(start, end) for start, end in found if start < end]
