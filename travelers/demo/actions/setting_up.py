"""How is the shop set up: its stages, shifts, stations, gauges and people?"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.hashers import make_password

from travelers.demo import queries
from travelers.demo.rules.hours import Hours, closed_days
from travelers.demo.rules.sign_in import FIRST_NUMBER, PASSWORD, PIN
from travelers.shop.actions import take_codes
from travelers.shop.models import ClosedDay, Gauge, Person, Shift, Stage, Station
from travelers.shop.rules import Role

# The demo's files tell of a year that ends about here; days in them are moved by as
# many whole weeks as lie between, so that the shop is alive whenever it is loaded.
FILES_END_ON = date(2026, 11, 12)


@dataclass(frozen=True)
class Shop:
    """The shop as it stands before anything is built."""

    zone: ZoneInfo
    moved_by: timedelta
    people: dict[str, Person]
    stations: dict[str, Station]
    gauges: dict[str, list[Gauge]]
    closed: frozenset[date]
    hours: dict[str, Hours] = field(default_factory=dict)

    @property
    def day_shift(self) -> Hours:
        return self.hours["DAY"]

    def moved(self, day: str) -> date:
        return date.fromisoformat(day) + self.moved_by


def set_up_shop(*, end: datetime, zone: ZoneInfo) -> Shop:
    said = queries.fixture(name="shop")
    today = end.astimezone(zone).date()
    moved_by = timedelta(weeks=(today - FILES_END_ON).days // 7)
    closed = _close_days(said["closed_days"], today)
    shifts = _shifts(said["shifts"])
    return Shop(
        zone=zone,
        moved_by=moved_by,
        people=_people(said["people"], today),
        stations=_stations(said, shifts),
        gauges=_gauges(said["gauges"], moved_by, today),
        closed=closed,
        hours={
            code: Hours(zone, shift.weekdays, shift.starts, shift.ends, closed)
            for code, shift in shifts.items()
        },
    )


def _close_days(rows: list[dict[str, str]], today: date) -> frozenset[date]:
    """Close the same days in the years before and after ``today``."""
    reasons = {row["day"][5:]: row["reason"] for row in rows}
    days = closed_days(
        (date.fromisoformat(row["day"]) for row in rows), today.year - 2, today.year + 1
    )
    ClosedDay.objects.bulk_create(
        ClosedDay(day=day, reason=reasons[f"{day:%m-%d}"]) for day in days
    )
    return frozenset(days)


def _shifts(rows: list[dict[str, str]]) -> dict[str, Shift]:
    return {
        row["code"]: Shift.objects.create(
            code=row["code"],
            name=row["name"],
            weekdays=row["weekdays"],
            starts=time.fromisoformat(row["starts"]),
            ends=time.fromisoformat(row["ends"]),
        )
        for row in rows
    }


def _stations(said: Any, shifts: dict[str, Shift]) -> dict[str, Station]:
    stages = {
        row["code"]: Stage.objects.create(position=position, **row)
        for position, row in enumerate(said["stages"], start=1)
    }
    tags = take_codes(kind="H", count=len(said["stations"]))
    return {
        row["code"]: Station.objects.create(
            code=row["code"],
            tag=tag,
            name=row["name"],
            stage=stages[row["stage"]],
            attended=row["attended"],
            places=row["places"],
            shift=shifts[row["shift"]],
        )
        for row, tag in zip(said["stations"], tags, strict=True)
    }


def _gauges(
    rows: list[dict[str, str]], moved_by: timedelta, today: date
) -> dict[str, list[Gauge]]:
    """Make the gauges; those in use are given, one that is overdue lies in a drawer."""
    in_use: dict[str, list[Gauge]] = defaultdict(list)
    tags = take_codes(kind="G", count=len(rows))
    for row, tag in zip(rows, tags, strict=True):
        gauge = Gauge.objects.create(
            tag=tag,
            name=row["name"],
            kind=row["kind"],
            unit=row["unit"],
            resolution=Decimal(row["resolution"]),
            calibrated_on=date.fromisoformat(row["calibrated_on"]) + moved_by,
            due_on=date.fromisoformat(row["due_on"]) + moved_by,
        )
        if gauge.due_on >= today:
            in_use[gauge.kind].append(gauge)
    return dict(in_use)


def _people(rows: list[dict[str, Any]], today: date) -> dict[str, Person]:
    """Let everybody in; two slow hashes serve all, since all have one password."""
    key, pin = make_password(PASSWORD), make_password(PIN)
    joined = datetime.combine(today, time(), tzinfo=ZoneInfo("UTC"))
    return {
        row["username"]: Person.objects.create(
            username=row["username"],
            password=key,
            first_name=row["first_name"],
            last_name=row["last_name"],
            initials=row["initials"],
            number=str(number),
            pin=pin,
            is_staff=Role.ADMIN in row["roles"],
            is_superuser=Role.ADMIN in row["roles"],
            date_joined=joined - timedelta(days=400),
            **Person.columns_of(row["roles"]),
        )
        for number, row in enumerate(rows, start=FIRST_NUMBER)
    }
