"""Whether a value is inside its limits, and is the one that the hand meant to type."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Context, Decimal, InvalidOperation
from enum import StrEnum
from types import MappingProxyType

LONGEST_NUMBER = 40
"""More characters than this are not looked into."""

UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "mm": ("millimeter", "millimetre"),
        "cm": ("centimeter", "centimetre"),
        "m": ("meter", "metre"),
        "um": ("µm", "μm"),
        "in": ('"', "''", "″", "”", "inch", "inches"),
        "g": ("gram", "grams"),
        "kg": (),
        "oz": (),
        "lb": ("lbs",),
        "%": ("pct", "percent"),
        "V": ("volt", "volts"),
        "mV": (),
        "ohm": ("Ω", "Ω", "ohms"),
        "kohm": ("kΩ", "kΩ", "kohms"),
        "nF": (),
        "uF": ("µF", "μF"),
        "Hz": (),
        "kHz": (),
        "cents": ("cent",),
        "dB": (),
        "N": (),
        "Nm": ("N m", "N·m"),
        "degC": ("°C", "℃"),
        "deg": ("°",),
        "s": (),
        "min": (),
        "h": (),
    }
)
"""Each unit that may follow a typed number, and what else may be typed for it."""

_UNIT_OF = {
    typed.casefold(): unit
    for unit, others in UNITS.items()
    for typed in (unit, *others)
}
_TYPED = re.compile(
    r"(?P<sign>[+-]?)\s*(?P<number>[.,]?[0-9][0-9.,]*(?:[\s'’][0-9][0-9.,]*)*)"
    r"\s*(?P<unit>.*)",
    re.DOTALL,
)
_ONE_NUMBER = re.compile(r"[0-9]+[.,]?[0-9]*|[.,][0-9]+")


class Verdict(StrEnum):
    """On which side of its limits a value falls."""

    INSIDE = "inside"
    LOW = "low"
    HIGH = "high"


class Unread(StrEnum):
    """Why a typed text is not one plain number."""

    EMPTY = "empty"
    TOO_LONG = "too_long"
    THOUSANDS = "thousands"
    LETTERS = "letters"


class NotANumber(ValueError):
    """A text was typed that cannot be read as one plain number.

    Attributes
    ----------
    reason : Unread
        ``thousands`` is a number with more than one mark, of which no one can say
        which is the decimal mark; ``letters`` is anything that is not a digit, a mark
        or a known unit.
    """

    def __init__(self, message: str, *, reason: Unread) -> None:
        super().__init__(message)
        self.reason = reason


class Slip(StrEnum):
    """What may have gone wrong between the gauge and the keypad."""

    DECIMAL_POINT = "decimal_point"
    INCHES_FOR_MM = "inches_for_mm"
    MM_FOR_INCHES = "mm_for_inches"
    CM_FOR_MM = "cm_for_mm"
    KG_FOR_G = "kg_for_g"
    G_FOR_KG = "g_for_kg"


@dataclass(frozen=True, slots=True)
class Typed:
    """A number as typed, and the unit typed after it, if one was."""

    value: Decimal
    unit: str | None


@dataclass(frozen=True, slots=True)
class Doubt:
    """What probably slipped, and the value that was probably meant."""

    kind: Slip
    likely: Decimal


MM_PER_INCH = Decimal("25.4")
_FACTORS: Mapping[tuple[str, str], Decimal] = MappingProxyType(
    {
        ("in", "mm"): MM_PER_INCH,
        ("um", "mm"): Decimal("0.001"),
        ("kg", "g"): Decimal(1000),
    }
)

# Kind, times, over, where it is known that the field is of this unit. The units stand
# before the point: 4.3 in a field of mm is ten times too small by either reading, and
# someone who reads 4.3 off a rule has read centimetres.
_SLIPS = (
    (Slip.INCHES_FOR_MM, MM_PER_INCH, Decimal(1), "mm"),
    (Slip.CM_FOR_MM, Decimal(10), Decimal(1), "mm"),
    (Slip.MM_FOR_INCHES, Decimal(1), MM_PER_INCH, "in"),
    (Slip.KG_FOR_G, Decimal(1000), Decimal(1), "g"),
    (Slip.G_FOR_KG, Decimal(1), Decimal(1000), "kg"),
    (Slip.DECIMAL_POINT, Decimal(10), Decimal(1), None),
    (Slip.DECIMAL_POINT, Decimal(1), Decimal(10), None),
    (Slip.DECIMAL_POINT, Decimal(100), Decimal(1), None),
    (Slip.DECIMAL_POINT, Decimal(1), Decimal(100), None),
)
# No source: chosen so that the smallest slip, of ten, is seen over limits that are
# themselves up to three times apart, and a board planed to half its size is not.
_FAR = 3
_NEAR_NOMINAL = Decimal("0.05")
_NEAR_LIMIT = Decimal("0.1")
# No reading at a bench has more digits, and a division by 25.4 need not end.
_TWELVE_DIGITS = Context(prec=12)


def judge(
    value: Decimal | float, lower: Decimal | float | None, upper: Decimal | float | None
) -> Verdict:
    """Say on which side of its limits a value falls. The limits themselves are inside.

    Parameters
    ----------
    value : Decimal or float
        The reading, finite, in the unit of the limits. A float counts as the decimal
        number that it prints as: 0.3 is 0.3, whichever type it comes in.
    lower, upper : Decimal or float or None
        The limits, finite; None where there is no limit on that side.

    Returns
    -------
    Verdict
        ``INSIDE``, ``LOW`` or ``HIGH``.

    Raises
    ------
    ValueError
        If a number is not finite, or the lower limit is above the upper.

    References
    ----------
    JCGM 106:2012, 3.3.5: the limits belong to the interval (from memory).

    Examples
    --------
    >>> judge(43.5, 42.5, 43.5), judge(43.51, 42.5, 43.5), judge(6.0, None, 8.0)
    (<Verdict.INSIDE: 'inside'>, <Verdict.HIGH: 'high'>, <Verdict.INSIDE: 'inside'>)
    """
    number = _exact("value", value)
    low, high = _limits(lower, upper)
    if low is not None and number < low:
        return Verdict.LOW
    if high is not None and number > high:
        return Verdict.HIGH
    return Verdict.INSIDE


def read_number(text: str) -> Typed:
    """Read a number as a hand types it, with comma or point and perhaps a unit.

    Parameters
    ----------
    text : str
        For example ``43.5``, ``43,5 mm``, ``-.25`` or ``1,71"``.

    Returns
    -------
    Typed
        The value, exact, and the unit by its name in `UNITS`, or None.

    Raises
    ------
    NotANumber
        If it cannot be read as one plain number; `reason` says why. Exponents,
        infinity and fractions are refused as ``letters``.

    Notes
    -----
    One mark is always the decimal mark: ``1,234`` is a little more than one. Units are
    read in any case, since no two of `UNITS` differ by case alone.

    References
    ----------
    ISO 80000-1:2009, 7.3.2: the decimal sign is a comma or a point on the line (from
    memory).

    Examples
    --------
    >>> read_number(" 43,50 mm ")
    Typed(value=Decimal('43.50'), unit='mm')
    >>> read_number("1,234.5")
    Traceback (most recent call last):
        ...
    travelers.formulas.limits.NotANumber: text must be one number, got '1,234.5'
    """
    if len(text) > LONGEST_NUMBER:
        raise _unread(text, Unread.TOO_LONG)
    typed = text.strip().replace("\N{MINUS SIGN}", "-")
    if not typed:
        raise _unread(text, Unread.EMPTY)
    found = _TYPED.fullmatch(typed)
    if found is None:
        raise _unread(text, Unread.LETTERS)
    number, unit = found["number"], _unit(found["unit"])
    if found["unit"] and unit is None:
        raise _unread(text, Unread.LETTERS)
    if not _ONE_NUMBER.fullmatch(number):
        raise _unread(text, Unread.THOUSANDS)
    value = Decimal(found["sign"] + number.replace(",", "."))
    return Typed(value=value if value else value.copy_abs(), unit=unit)


def convert(value: Decimal, from_unit: str, to_unit: str) -> Decimal | None:
    """Convert a value between units whose factor is exact.

    Parameters
    ----------
    value : Decimal
        The value in `from_unit`, finite.
    from_unit, to_unit : str
        Units of `UNITS`, by any of their names.

    Returns
    -------
    Decimal or None
        The value in `to_unit`, exact; None where these two are not converted.

    Raises
    ------
    ValueError
        If the value is not finite.

    References
    ----------
    An inch is 25.4 mm exactly (international yard and pound, 1959); prefixes of the
    SI Brochure, 9th edition, 3 (from memory).

    Examples
    --------
    >>> convert(Decimal("0.5"), "in", "mm"), convert(Decimal(40), "um", "mm")
    (Decimal('12.70'), Decimal('0.040'))
    >>> convert(Decimal(1), "lb", "g") is None
    True
    """
    number = _exact("value", value)
    known = _unit(from_unit), _unit(to_unit)
    if known[0] == known[1] or from_unit == to_unit:
        return number
    factor = _FACTORS.get((known[0] or "", known[1] or ""))
    return None if factor is None else number * factor


def doubt(
    value: Decimal | float,
    nominal: Decimal | float | None,
    lower: Decimal | float | None,
    upper: Decimal | float | None,
    unit: str | None = None,
) -> Doubt | None:
    """Ask whether a value far outside its limits was meant, or slipped in typing.

    Parameters
    ----------
    value : Decimal or float
        The value as typed, finite.
    nominal : Decimal or float or None
        What is aimed at; without it the middle of the limits stands in.
    lower, upper : Decimal or float or None
        The limits, finite; None where there is no limit on that side.
    unit : str or None
        The unit of all of them, as in `UNITS`. Slips between units are looked for
        only where it is known.

    Returns
    -------
    Doubt or None
        The slip that would explain the value best, and the value probably meant, to
        twelve digits. None if the value is inside, or outside but not by far, or if no
        slip explains it.

    Raises
    ------
    ValueError
        If a number is not finite, or the lower limit is above the upper.

    Notes
    -----
    Far outside is three times the larger limit or more, or a third of the smaller or
    less. A slip explains a value if it leads inside the limits, or beside them by no
    more than a tenth of their distance, or within 5 % of the nominal. Slips are a
    decimal point wrong by one or two places, and the units of `Slip`.

    References
    ----------
    Common practice, no source; an inch is 25.4 mm exactly (international yard and
    pound, 1959).

    Examples
    --------
    >>> doubt(430, 43, 42.5, 43.5, "mm")
    Doubt(kind=<Slip.DECIMAL_POINT: 'decimal_point'>, likely=Decimal('43'))
    >>> doubt(44.1, 43, 42.5, 43.5, "mm") is None
    True
    """
    number = _exact("value", value)
    window = _Window.of(nominal, lower, upper)
    if not window.is_far(number):
        return None
    known = None if unit is None else _unit(unit)
    slips = (
        Doubt(kind, _TWELVE_DIGITS.divide(number * times, over))
        for kind, times, over, of_unit in _SLIPS
        if of_unit is None or of_unit == known
    )
    near = [slip for slip in slips if window.is_near(slip.likely)]
    return min(near, key=window.remoteness, default=None)


@dataclass(frozen=True, slots=True)
class _Window:
    """The limits, and the place between them that is aimed at."""

    aim: Decimal
    lower: Decimal | None
    upper: Decimal | None

    @classmethod
    def of(
        cls,
        nominal: Decimal | float | None,
        lower: Decimal | float | None,
        upper: Decimal | float | None,
    ) -> "_Window":
        low, high = _limits(lower, upper)
        ends = [end for end in (low, high) if end is not None]
        if nominal is not None:
            aim = _exact("nominal", nominal)
        else:
            aim = sum(ends, Decimal(0)) / max(len(ends), 1)
        return cls(aim, low, high)

    def outside(self, number: Decimal) -> Decimal:
        """Give the distance to the nearest limit, 0 if inside."""
        if self.lower is not None and number < self.lower:
            return self.lower - number
        if self.upper is not None and number > self.upper:
            return number - self.upper
        return Decimal(0)

    def is_far(self, number: Decimal) -> bool:
        """Compare sizes without their signs: a slip never changes the sign."""
        if not number or not self.outside(number):
            return False
        sizes = [abs(end) for end in (self.lower, self.upper) if end is not None]
        straddles = self.outside(Decimal(0)) == 0
        return abs(number) >= _FAR * max(sizes) or (
            not straddles and abs(number) * _FAR <= min(sizes)
        )

    def is_near(self, number: Decimal) -> bool:
        outside = self.outside(number)
        if self.lower is None or self.upper is None:
            slack = Decimal(0)
        else:
            slack = _NEAR_LIMIT * (self.upper - self.lower)
        return outside <= slack or abs(number - self.aim) <= _NEAR_NOMINAL * abs(
            self.aim
        )

    def remoteness(self, slip: Doubt) -> tuple[bool, Decimal]:
        """Rank slips: inside before outside, then nearer to the aim.

        An aim of zero cannot rank: the more places slip, the nearer. Equal ranks leave
        the order of the slips, one place before two.
        """
        distance = abs(slip.likely - self.aim) if self.aim else Decimal(0)
        return self.outside(slip.likely) > 0, distance


def _limits(
    lower: Decimal | float | None, upper: Decimal | float | None
) -> tuple[Decimal | None, Decimal | None]:
    low = None if lower is None else _exact("lower", lower)
    high = None if upper is None else _exact("upper", upper)
    if low is not None and high is not None and low > high:
        raise ValueError(f"lower must not be above upper {upper}, got {lower}")
    return low, high


def _exact(name: str, value: Decimal | float) -> Decimal:
    """Take a number as it prints, so that 0.3 is equal to Decimal("0.3")."""
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite():
        raise ValueError(f"{name} must be a finite number, got {value}")
    return number


def _unit(typed: str) -> str | None:
    return _UNIT_OF.get(typed.casefold())


def _unread(text: str, reason: Unread) -> NotANumber:
    shown = text if len(text) <= LONGEST_NUMBER else f"{text[:LONGEST_NUMBER]}…"
    return NotANumber(f"text must be one number, got {shown!r}", reason=reason)
