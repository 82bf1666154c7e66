"""Which value did the hand at the keypad mean, if it can be told?"""

import re
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


# A number and behind it what would be a unit, if it were one.
ODD_UNIT = re.compile(
    r"[+\N{MINUS SIGN}-]?[\d.,]*\d\s*(?P<unit>[^\d\s.,]\D{0,11})", re.ASCII
)

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
        return Unclear(_unread(text, fault.reason))
    value = _in_its_unit(typed, check)
    if value is None:
        refusal = reasons.VALUE_OTHER_UNIT.about(
            typed_unit=typed.unit or "", unit=check.unit or "–", check=check.name
        )
        return Unclear(refusal, value=typed.value)
    misfit = _misfit(value, check)
    if misfit is not None:
        return Unclear(misfit, value=value)
    return _believed(value, check, confirmed)


def original_of(text: str, check: Check) -> str:
    """Give a value as the gauge said it, where its unit had to be converted."""
    try:
        typed = limits.read_number(text)
    except limits.NotANumber:
        return ""
    if typed.unit is None or _in_its_unit(typed, check) == typed.value:
        return ""
    return f"{typed.value:f} {typed.unit}"


def _unread(text: str, reason: limits.Unread) -> Refusal:
    odd = ODD_UNIT.fullmatch(text.strip())
    if reason is limits.Unread.LETTERS and odd:
        return reasons.VALUE_UNKNOWN_UNIT.about(unit=_cut(odd["unit"]))
    return READ_AS[reason].about(typed=_cut(text))


def _in_its_unit(typed: limits.Typed, check: Check) -> Decimal | None:
    """Give the value in the unit of its check, as fine as a reading's column is."""
    if typed.unit is None:
        return typed.value
    found = limits.convert(typed.value, typed.unit, check.unit)
    if found is None or found == typed.value:
        return found
    fine = found.quantize(Decimal(1).scaleb(-MOST_DECIMALS)).normalize()
    return fine.quantize(Decimal(1)) if fine == fine.to_integral() else fine


def _misfit(value: Decimal, check: Check) -> Refusal | None:
    """Say what keeps a number from being a value of this check."""
    plain = value.normalize()
    _, digits, exponent = plain.as_tuple()
    decimals = max(0, -int(exponent))
    if check.kind is CheckKind.COUNTED and (decimals or plain < 0):
        return reasons.VALUE_NOT_WHOLE.about(check=check.name)
    if decimals > MOST_DECIMALS or len(digits) + int(exponent) > MOST_DIGITS:
        return reasons.VALUE_TOO_FINE.about(typed=_cut(str(value)))
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
