"""Which value did the hand at the keypad mean, if it can be told?"""

from dataclasses import dataclass
from decimal import Decimal

from travelers.floor.rules import reasons
from travelers.formulas import limits
from travelers.kit.refusals import Refusal
from travelers.routes.rules import Check, CheckKind

# What a reading's column holds: ten digits before the mark and four behind.
MOST_DIGITS = 10
MOST_DECIMALS = 4


@dataclass(frozen=True, slots=True)
class Unclear:
    """Why nothing is recorded yet; ``likely`` is what was probably meant."""

    refusal: Refusal
    likely: Decimal | None = None
    value: Decimal | None = None


READ_AS = {
    limits.Unread.EMPTY: reasons.VALUE_EMPTY,
    limits.Unread.TOO_LONG: reasons.VALUE_TOO_LONG,
    limits.Unread.THOUSANDS: reasons.VALUE_TWO_MARKS,
    limits.Unread.LETTERS: reasons.VALUE_NOT_A_NUMBER,
}


def value_of(text: str, check: Check, *, confirmed: str = "") -> Decimal | Unclear:
    """Read a typed value of a check, or say what is unclear about it.

    ``confirmed`` is the very value that was asked about and is meant so.
    """
    if check.kind is CheckKind.JUDGED:
        said = text.strip()
        return Decimal(said) if said in {"0", "1"} else Unclear(reasons.VALUE_EMPTY)
    try:
        typed = limits.read_number(text)
    except limits.NotANumber as fault:
        return Unclear(READ_AS[fault.reason].about(typed=_cut(text)))
    misfit = _misfit(typed, check)
    if misfit is not None:
        return Unclear(misfit, value=typed.value)
    return _believed(typed.value, check, confirmed)


def _misfit(typed: limits.Typed, check: Check) -> Refusal | None:
    """Say what keeps a number from being a value of this check."""
    if typed.unit is not None and typed.unit != (check.unit or None):
        return reasons.VALUE_OTHER_UNIT.about(
            typed_unit=typed.unit, unit=check.unit or "–", check=check.name
        )
    plain = typed.value.normalize()
    _, digits, exponent = plain.as_tuple()
    decimals = max(0, -int(exponent))
    if check.kind is CheckKind.COUNTED and (decimals or plain < 0):
        return reasons.VALUE_NOT_WHOLE.about(check=check.name)
    if decimals > MOST_DECIMALS or len(digits) + int(exponent) > MOST_DIGITS:
        return reasons.VALUE_TOO_FINE.about(typed=_cut(str(typed.value)))
    return None


def _believed(value: Decimal, check: Check, confirmed: str) -> Decimal | Unclear:
    doubt = limits.doubt(value, check.nominal, check.lower, check.upper, check.unit)
    if doubt is None or _same(confirmed, value):
        return value
    likely = doubt.likely.quantize(Decimal(1).scaleb(-MOST_DECIMALS)).normalize()
    asked = reasons.VALUE_DOUBTED.about(
        value=f"{value:f}", likely=f"{likely:f}", unit=check.unit
    )
    return Unclear(asked, likely, value)


def _same(confirmed: str, value: Decimal) -> bool:
    try:
        return limits.read_number(confirmed).value == value
    except limits.NotANumber:
        return False


def _cut(text: str) -> str:
    shown = " ".join(text.split())
    return shown if len(shown) <= 24 else f"{shown[:24]}…"
