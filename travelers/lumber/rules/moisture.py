"""Can wood be as wet as somebody read, and which piece decides?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum

from travelers.formulas.wood import metered_moisture_pct, oven_dry_moisture_pct
from travelers.kit.refusals import Refusal, gettext_noop, refusal

METER_KIND = "moisture_meter"
MOST_POINTS = 9
# Pin meters tell from about 7 % to the fibre saturation point of 25 to 30 % (James,
# FPL-GTR-6, 1988, by its summary); a little beyond is taken, as an estimate.
DRIEST_SHOWN_PCT, WETTEST_SHOWN_PCT = Decimal(3), Decimal(40)
COLDEST_WOOD_C, HOTTEST_WOOD_C = Decimal(-10), Decimal(80)
# A kiln sample is a slice of a piece, weighed to a hundredth of a gram.
WETTEST_OVEN_PCT = 200
# So much two readings of the same wood may differ (common practice, no source).
RISES_BY = Decimal("0.8")


class Method(StrEnum):
    """By what the moisture of wood is known."""

    METER = "METER"
    OVEN = "OVEN"


METER_CANNOT_TELL = refusal(
    "lumber.meter_cannot_tell",
    gettext_noop("A moisture meter tells from {least} to {most} %, not {value}."),
    gettext_noop(
        "Clean the pins, set the species and read again; wetter wood is weighed and "
        "dried in an oven."
    ),
    status=422,
)
WOOD_CANNOT_BE_SO_WARM = refusal(
    "lumber.wood_cannot_be_so_warm",
    gettext_noop("Wood that is read here is never at {value} °C."),
    gettext_noop("Read the thermometer again; it may show °F."),
    status=422,
)
NOT_A_METER = refusal(
    "lumber.not_a_meter",
    gettext_noop("{gauge} is a {kind}; wood is read with a moisture meter."),
    gettext_noop("Choose the moisture meter that was used."),
    status=422,
)
METER_BAD = refusal(
    "lumber.meter_bad",
    gettext_noop("{gauge} was found bad on {found_at}; it reads no wood."),
    gettext_noop("Take another meter until QA has put this one back."),
    status=422,
)
METER_OVERDUE = refusal(
    "lumber.meter_overdue",
    gettext_noop("The calibration of {gauge} ended on {due}."),
    gettext_noop("Take another meter and bring this one to QA."),
    status=422,
)
HEAVIER_WHEN_DRY = refusal(
    "lumber.heavier_when_dry",
    gettext_noop("A sample of {wet} g cannot weigh {dry} g when it is dry."),
    gettext_noop("Look whether the two masses changed places, and weigh again."),
    status=422,
)
SAMPLE_TOO_WET = refusal(
    "lumber.sample_too_wet",
    gettext_noop("{wet} g and {dry} g when dry make {value} %: no wood is so wet."),
    gettext_noop("Look at the decimal mark of both masses; both are in grams."),
    status=422,
)
MOISTURE_KNOWN = refusal(
    "lumber.moisture_known",
    gettext_noop("Piece {piece}, point {point}, has another reading of {read_at}."),
    gettext_noop("Look at it; give this one its own time."),
)
NOTHING_READ = refusal(
    "lumber.nothing_read",
    gettext_noop("No piece was read."),
    gettext_noop("Type what the meter shows for one piece at least."),
    status=422,
)
NOT_OF_THE_SET = refusal(
    "lumber.not_of_the_set",
    gettext_noop("Set {set} has no such piece."),
    gettext_noop("Open the page of the set again and read its own pieces."),
    status=422,
)
READ_OUT_OF_ORDER = refusal(
    "lumber.read_out_of_order",
    gettext_noop("Piece {piece} has a later reading already, of {last_at}."),
    gettext_noop("Look at the date; if it is right, say so and it is taken."),
    status=422,
)
READ_RISING = refusal(
    "lumber.read_rising",
    gettext_noop("Piece {piece} read {last} %, {last_at}. Now it reads {value} %."),
    gettext_noop(
        "Is it the right piece, the right species on the meter, and was it wetted? "
        "If the reading is right, say so and it is taken."
    ),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Pin:
    """What a meter showed at one point of a piece."""

    piece_id: int
    point: int
    shown_pct: Decimal


@dataclass(frozen=True, slots=True)
class Metering:
    """When a set was read, with which meter, and how warm its wood was.

    ``wood_c`` is None where the meter reckons with the warmth itself.
    """

    read_at: datetime
    gauge_id: int
    wood_c: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Sample:
    """A slice of a piece that was weighed, dried in an oven and weighed again."""

    piece_id: int
    read_at: datetime
    wet_mass_g: Decimal
    dry_mass_g: Decimal


@dataclass(frozen=True, slots=True)
class LastRead:
    """The last reading of a piece: its wettest point then."""

    letter: str
    moisture_pct: Decimal
    read_at: datetime


@dataclass(frozen=True, slots=True)
class Dryness:
    """How dry a set is: its worst piece decides, and its oldest reading how fresh."""

    worst_pct: Decimal
    worst_letter: str
    read_at: datetime
    unread: tuple[str, ...]

    def age(self, at: datetime) -> timedelta:
        return at - self.read_at


def not_shown(value: Decimal) -> Refusal | None:
    """Doubt what no meter shows in wood."""
    if DRIEST_SHOWN_PCT <= value <= WETTEST_SHOWN_PCT:
        return None
    return METER_CANNOT_TELL.about(
        least=f"{DRIEST_SHOWN_PCT}", most=f"{WETTEST_SHOWN_PCT}", value=f"{value:f}"
    )


def not_so_warm(wood_c: Decimal | None) -> Refusal | None:
    if wood_c is None or COLDEST_WOOD_C <= wood_c <= HOTTEST_WOOD_C:
        return None
    return WOOD_CANNOT_BE_SO_WARM.about(value=f"{wood_c:f}")


def not_weighed(wet_g: Decimal, dry_g: Decimal) -> Refusal | None:
    """Doubt two masses that no sample can have."""
    if dry_g > wet_g:
        return HEAVIER_WHEN_DRY.about(wet=f"{wet_g:f}", dry=f"{dry_g:f}")
    moisture = oven_dry_moisture_pct(float(wet_g), float(dry_g))
    if moisture > WETTEST_OVEN_PCT:
        return SAMPLE_TOO_WET.about(
            wet=f"{wet_g:f}", dry=f"{dry_g:f}", value=f"{moisture:.0f}"
        )
    return None


def metered(
    shown_pct: Decimal,
    wood_c: Decimal | None,
    corrections: Sequence[tuple[Decimal, Decimal]],
) -> Decimal:
    """Correct what a meter showed, to a hundredth of a percent."""
    moisture = metered_moisture_pct(
        float(shown_pct),
        None if wood_c is None else float(wood_c),
        [(float(shown), float(add)) for shown, add in corrections],
    )
    return Decimal(f"{moisture:.2f}")


def by_oven(wet_g: Decimal, dry_g: Decimal) -> Decimal:
    """Say the moisture of a sample, to a hundredth of a percent."""
    return Decimal(f"{oven_dry_moisture_pct(float(wet_g), float(dry_g)):.2f}")


def doubts(
    values: Mapping[int, Decimal], last: Mapping[int, LastRead], read_at: datetime
) -> tuple[Refusal, ...]:
    """Ask about readings that may well be slips; ``values`` and ``last`` are by piece.

    Wood that lies to dry does not get wetter, and nobody reads yesterday's moisture.
    """
    found = []
    for piece_id, moisture in values.items():
        before = last.get(piece_id)
        if before is None:
            continue
        if read_at < before.read_at:
            found.append(
                READ_OUT_OF_ORDER.about(
                    piece=before.letter, last_at=before.read_at.isoformat()
                )
            )
        elif moisture > before.moisture_pct + RISES_BY:
            found.append(
                READ_RISING.about(
                    piece=before.letter,
                    last=f"{before.moisture_pct:.1f}",
                    last_at=before.read_at.isoformat(),
                    value=f"{moisture:.1f}",
                )
            )
    return tuple(found)


def dryness(pieces: Iterable[str], last: Iterable[LastRead]) -> Dryness | None:
    """Say how dry a set is by the last reading of each of its pieces."""
    read = {one.letter: one for one in last}
    if not read:
        return None
    worst = max(read.values(), key=lambda one: (one.moisture_pct, one.letter))
    return Dryness(
        worst.moisture_pct,
        worst.letter,
        min(one.read_at for one in read.values()),
        tuple(letter for letter in pieces if letter not in read),
    )
