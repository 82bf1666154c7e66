"""How does a logger's list become readings of a room's air, once it was looked at?"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise
from typing import TypeAlias
from zoneinfo import ZoneInfo

from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Number
from travelers.kit.sheets import Column, Fault, Moment, Sheet, read_sheet, shown
from travelers.kit.words import sentence_of
from travelers.lumber import rules

# A year at half-hour steps; more come in several lists.
MOST_READINGS = 20_000
SHOWN_AT_EACH_END = 4
START = datetime(1970, 1, 1, tzinfo=UTC)
TENTH = Decimal("0.1")


class Clock(StrEnum):
    """By which clock a list tells the time, where it names no offset."""

    SHOP = "SHOP"
    WINTER = "WINTER"
    UTC = "UTC"


CLOCKS = {
    Clock.SHOP: _("The shop’s clock, set forward and back"),
    Clock.WINTER: _("Winter time all year, as many loggers keep it"),
    Clock.UTC: _("World time (UTC)"),
}

# When, °C, %.
Reading: TypeAlias = tuple[datetime, Decimal, Decimal]


def zone_of(asked: str, *, shop: ZoneInfo, at: datetime) -> tzinfo:
    """Give the zone of a clock; what is not known is the shop's."""
    if asked == Clock.UTC:
        return UTC
    if asked == Clock.WINTER:
        # South of the equator the year's winter is in its middle.
        halves = (at.replace(month=month, day=1).astimezone(shop) for month in (1, 7))
        return timezone(min(half.utcoffset() or timedelta() for half in halves))
    return shop


def columns(zone: tzinfo) -> tuple[Column, ...]:
    """Name the columns of a list as loggers in three languages head them."""
    return (
        Column(
            "read_at",
            Moment(label=_("Read at"), zone=zone),
            (
                *("time", "date", "datetime", "date time", "date and time"),
                *("timestamp", "zeit", "datum", "zeitstempel", "datum zeit"),
                *("fecha", "hora", "fecha hora", "fecha y hora"),
            ),
        ),
        Column(
            "temperature_c",
            Number(
                label=_("Temperature (°C)"),
                unit="degC",
                decimals=1,
                most=Decimal(999),
                may_be_below_0=True,
            ),
            ("temperature", "temp", "temperatura", "temperatur"),
            rounds=True,
        ),
        Column(
            "humidity_pct",
            Number(
                label=_("Humidity (%)"),
                unit="%",
                decimals=1,
                most=Decimal(999),
                may_be_below_0=True,
            ),
            (
                *("humidity", "relative humidity", "rel humidity", "rh"),
                *("humedad", "humedad relativa", "hr"),
                *("feuchte", "luftfeuchte", "relative feuchte", "rel feuchte", "rf"),
            ),
            rounds=True,
        ),
    )


@dataclass(frozen=True, slots=True)
class AirList:
    """What a list says: readings in their order, or what is wrong with it."""

    file: str
    tab: str = ""
    unread: str = ""
    readings: tuple[Reading, ...] = ()
    faults: tuple[Fault, ...] = ()
    more: int = 0

    @property
    def first(self) -> tuple[Reading, ...]:
        return self.readings[:SHOWN_AT_EACH_END]

    @property
    def last(self) -> tuple[Reading, ...]:
        """Give those at the end that are not among the first."""
        return self.readings[SHOWN_AT_EACH_END:][-SHOWN_AT_EACH_END:]

    @property
    def between(self) -> int:
        return len(self.readings) - len(self.first) - len(self.last)


def air_list(
    file: "UploadedFile[bytes] | None", *, zone: tzinfo, at: datetime
) -> AirList:
    """Read a list whole; where a cell is wrong nothing of it counts."""
    if file is None:
        missing = Fault(None, "", "", gettext("Choose a file first."))
        return AirList("", faults=(missing,))
    asked = columns(zone)
    sheet = read_sheet(
        file.read(), size=file.size or 0, columns=asked, most_rows=MOST_READINGS
    )
    readings = _readings(sheet, zone, at)
    titles = {column.name: column.title for column in asked}
    for number, name, text, words in readings.wrong:
        sheet.blame(Fault(number, titles[name], text, words))
    return AirList(
        shown(file.name or ""),
        sheet.tab,
        ", ".join(sheet.unread),
        tuple(sorted(readings.good)) if sheet.is_good else (),
        tuple(sorted(sheet.faults, key=lambda fault: fault.row or 0)),
        sheet.more,
    )


@dataclass(slots=True)
class _Judged:
    """The rows that can be, and of those that cannot: row, column, value, why."""

    good: list[Reading]
    wrong: list[tuple[int, str, str, str]]


def _readings(sheet: Sheet, zone: tzinfo, at: datetime) -> _Judged:
    """Judge each row, and see that no moment stands there with two values."""
    known: dict[datetime, tuple[Decimal, Decimal]] = {}
    wrong: list[tuple[int, str, str, str]] = []
    for line in sheet.lines:
        if not line.values or len(line.values) < len(line.texts):
            continue
        air = line.values["temperature_c"], line.values["humidity_pct"]
        moment = _second_time(line.values["read_at"], zone, known, air)
        doubt = _doubt(moment, air, known, at)
        if doubt:
            name, words = doubt
            wrong.append((line.number, name, line.texts[name], words))
        known.setdefault(moment, air)
    return _Judged([(moment, *air) for moment, air in known.items()], wrong)


def _second_time(
    moment: datetime,
    zone: tzinfo,
    known: dict[datetime, tuple[Decimal, Decimal]],
    air: tuple[Decimal, Decimal],
) -> datetime:
    """Read what a clock showed twice, when it was set back, as the second time."""
    if moment not in known or known[moment] == air:
        return moment
    again = moment.astimezone(zone).replace(fold=1).astimezone(UTC)
    return moment if again in known else again


def _doubt(
    moment: datetime,
    air: tuple[Decimal, Decimal],
    known: dict[datetime, tuple[Decimal, Decimal]],
    at: datetime,
) -> tuple[str, str] | None:
    """Say which cell of a reading cannot be, and why."""
    if refused := rules.cannot_be(float(air[0]), float(air[1])):
        of_damp = refused.code == rules.HUMIDITY_CANNOT_BE.code
        name = "humidity_pct" if of_damp else "temperature_c"
        return name, sentence_of(refused)
    if moment > at:
        late = rules.IN_THE_FUTURE.about(read_at=moment.isoformat())
        return "read_at", sentence_of(late)
    if known.get(moment, air) != air:
        said = gettext("This moment stands in the list twice, with other values.")
        return "read_at", said
    return None


def packed(readings: Sequence[Reading], *, room: str) -> str:
    """Pack readings for the way to the browser and back, sealed for one room.

    As steps from one to the next, which are short where a logger reads evenly.
    """
    rows = [
        (
            (moment - START) // timedelta(seconds=1),
            int(temperature / TENTH),
            int(humidity / TENTH),
        )
        for moment, temperature, humidity in readings
    ]
    steps = [
        tuple(new - old for new, old in zip(after, before, strict=True))
        for before, after in pairwise([(0, 0, 0), *rows])
    ]
    return signing.dumps(steps, salt=_salt(room), compress=True)


def unpacked(sealed: str, *, room: str) -> tuple[Reading, ...] | None:
    """Give back what was packed; None where it is not what was packed for the room."""
    try:
        steps = signing.loads(sealed, salt=_salt(room))
    except signing.BadSignature:
        return None
    second = temperature = humidity = 0
    readings = []
    for step in steps:
        second += step[0]
        temperature += step[1]
        humidity += step[2]
        moment = START + timedelta(seconds=second)
        readings.append((moment, temperature * TENTH, humidity * TENTH))
    return tuple(readings)


def _salt(room: str) -> str:
    return f"planning.air_list:{room}"
