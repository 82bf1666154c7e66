"""Are limits kept, typed numbers read, and slips seen?"""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas import limits
from travelers.formulas.limits import (
    Doubt,
    NotANumber,
    Slip,
    Typed,
    Unread,
    Verdict,
    doubt,
    judge,
    read_number,
)

FLOATS = st.floats(min_value=-1e9, max_value=1e9)


def test_the_inch_is_the_international_inch() -> None:
    """International yard and pound agreement, 1959: 25.4 mm exactly (from memory)."""
    assert Decimal("25.4") == limits.MM_PER_INCH


# Judging.


@pytest.mark.parametrize(
    ("value", "lower", "upper", "verdict"),
    [
        (43.0, 42.5, 43.5, Verdict.INSIDE),
        (42.5, 42.5, 43.5, Verdict.INSIDE),
        (43.5, 42.5, 43.5, Verdict.INSIDE),
        (42.499, 42.5, 43.5, Verdict.LOW),
        (43.501, 42.5, 43.5, Verdict.HIGH),
        (8.0, None, 8.0, Verdict.INSIDE),
        (8.1, None, 8.0, Verdict.HIGH),
        (-1e300, None, 8.0, Verdict.INSIDE),
        (6.9, 7.0, None, Verdict.LOW),
        (1e300, 7.0, None, Verdict.INSIDE),
        (5, None, None, Verdict.INSIDE),
        (5, 5, 5, Verdict.INSIDE),
        (0, -0.2, 0.2, Verdict.INSIDE),
    ],
)
def test_limits_belong_to_the_inside(
    value: float, lower: float | None, upper: float | None, verdict: Verdict
) -> None:
    assert judge(value, lower, upper) is verdict


@pytest.mark.parametrize("text", ["0.1", "0.3", "628.65", "43.1", "1.2345"])
def test_a_float_limit_and_a_typed_decimal_mean_the_same_number(text: str) -> None:
    typed, limit = Decimal(text), float(text)
    assert judge(typed, limit, limit) is Verdict.INSIDE
    assert judge(limit, typed, typed) is Verdict.INSIDE


@given(FLOATS, FLOATS, FLOATS)
def test_a_value_falls_on_exactly_one_side(value: float, a: float, b: float) -> None:
    lower, upper = min(a, b), max(a, b)
    verdict = judge(value, lower, upper)
    assert (verdict is Verdict.LOW) == (value < lower)
    assert (verdict is Verdict.HIGH) == (value > upper)


@given(FLOATS, FLOATS, FLOATS)
def test_low_and_high_mirror_each_other(value: float, a: float, b: float) -> None:
    lower, upper = min(a, b), max(a, b)
    mirror = {Verdict.LOW: Verdict.HIGH, Verdict.HIGH: Verdict.LOW}
    verdict = judge(value, lower, upper)
    assert judge(-value, -upper, -lower) is mirror.get(verdict, verdict)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, Decimal("sNaN")])
@pytest.mark.parametrize("place", [0, 1, 2])
def test_what_is_no_number_is_refused_by_name(bad: float, place: int) -> None:
    numbers: list[float] = [43.0, 42.5, 43.5]
    numbers[place] = bad
    name = ("value", "lower", "upper")[place]
    with pytest.raises(ValueError, match=f"{name} must be a finite number, got"):
        judge(*numbers)


def test_a_truth_is_not_a_reading() -> None:
    with pytest.raises(ValueError, match="value must be a finite number, got True"):
        judge(True, 0, 2)


def test_limits_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(
        ValueError, match=r"lower must not be above upper 42\.5, got 43"
    ):
        judge(43, 43, 42.5)


# Reading what was typed.


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("43.5", "43.5", None),
        ("43,5", "43.5", None),
        ("  43.50  ", "43.50", None),
        ("+0,25", "0.25", None),
        ("-0.25", "-0.25", None),
        ("- 0.25", "-0.25", None),
        ("\N{MINUS SIGN}0,25", "-0.25", None),
        (".5", "0.5", None),
        (",5", "0.5", None),
        ("5.", "5", None),
        ("007", "7", None),
        ("1,234", "1.234", None),
        ("25.4mm", "25.4", "mm"),
        ("25,4 mm", "25.4", "mm"),
        ("12 MM", "12", "mm"),
        ("62.9 cm", "62.9", "cm"),
        ('1.71"', "1.71", "in"),
        ("1.71 in", "1.71", "in"),
        ("1.71 Inches", "1.71", "in"),
        ("\t3120 g\r\n", "3120", "g"),
        ("3,12 kg", "3.12", "kg"),
        ("7.5%", "7.5", "%"),
        ("7.5 pct", "7.5", "%"),
        ("9.1 V", "9.1", "V"),
        ("0.4 ohm", "0.4", "ohm"),
        ("0.4 \N{GREEK CAPITAL LETTER OMEGA}", "0.4", "ohm"),
        ("0.4 \N{OHM SIGN}", "0.4", "ohm"),
        ("7.2 kΩ", "7.2", "kohm"),
        ("82.41 Hz", "82.41", "Hz"),
        ("22 nF", "22", "nF"),
        ("40 \N{MICRO SIGN}m", "40", "um"),
        ("40 \N{GREEK SMALL LETTER MU}m", "40", "um"),
        ("21 °C", "21", "degC"),
        ("1.2 N m", "1.2", "Nm"),
    ],
)
def test_a_number_is_read_as_a_hand_types_it(
    text: str, value: str, unit: str | None
) -> None:
    assert read_number(text) == Typed(Decimal(value), unit)


def test_the_digits_stay_as_they_were_typed() -> None:
    assert str(read_number("43,50").value) == "43.50"


def test_zero_has_no_sign() -> None:
    assert str(read_number("-0.00").value) == "0.00"


@pytest.mark.parametrize(
    "text",
    [
        "1,234.5",
        "1.234,5",
        "1.2.3",
        "1,2,3",
        "1 234",
        "1 234,5",
        "1'234",
        "12 13",
        ".5.",
    ],
)
def test_more_than_one_mark_is_refused_as_thousands(text: str) -> None:
    with pytest.raises(NotANumber) as caught:
        read_number(text)
    assert caught.value.reason is Unread.THOUSANDS


@pytest.mark.parametrize(
    "text",
    [
        "abc",
        "mm",
        "43.5 furlong",
        "1e3",
        "1E-3",
        "inf",
        "-Infinity",
        "nan",
        "NaN123",
        "1_000",
        "0x1F",
        "1 3/4",
        "--5",
        "5-",
        "+",
        ".",
        ",",
        "mm 5",
        "٣",
        "\N{FULLWIDTH DIGIT FIVE}",
        "5🎸",
        "5\x00",
        "5 mm mm",
        "=5",
    ],
)
def test_what_is_neither_digit_nor_unit_is_refused_as_letters(text: str) -> None:
    with pytest.raises(NotANumber) as caught:
        read_number(text)
    assert caught.value.reason is Unread.LETTERS


@pytest.mark.parametrize("text", ["", " ", "\t\r\n"])
def test_nothing_typed_is_empty(text: str) -> None:
    with pytest.raises(NotANumber) as caught:
        read_number(text)
    assert caught.value.reason is Unread.EMPTY


@pytest.mark.parametrize("unit", ["1", " ", "1 ", "1.", "🎸"])
def test_five_megabytes_are_too_long_and_not_repeated(unit: str) -> None:
    with pytest.raises(NotANumber) as caught:
        read_number(unit * (5_000_000 // len(unit)))
    assert caught.value.reason is Unread.TOO_LONG
    assert len(str(caught.value)) < 300


@given(
    st.decimals(-(10**9), 10**9, places=4),
    st.sampled_from(".,"),
    st.sampled_from([None, *limits.UNITS]),
    st.sampled_from(["", " "]),
)
@pytest.mark.point(18)
def test_a_written_number_is_read_back(
    value: Decimal, mark: str, unit: str | None, gap: str
) -> None:
    text = f"{value:f}".replace(".", mark) + gap + (unit or "")
    assert read_number(text) == Typed(value, unit)


def trouble_with(text: str) -> Unread | None:
    try:
        read_number(text)
    except NotANumber as refused:
        return refused.reason
    return None


@given(st.text(max_size=60))
def test_no_text_breaks_the_reading(text: str) -> None:
    assert trouble_with(text) in {None, *Unread}


@given(st.text("0123456789.,' +-emin", max_size=40))
def test_what_is_read_has_the_digits_that_were_typed(text: str) -> None:
    try:
        typed = read_number(text)
    except NotANumber:
        return
    read = "".join(map(str, typed.value.as_tuple().digits))
    assert int(read) == int("".join(c for c in text if c.isdigit()))


def test_no_two_units_differ_by_case_alone() -> None:
    names = [typed for unit, more in limits.UNITS.items() for typed in (unit, *more)]
    assert len({name.casefold() for name in names}) == len({*names} - {"μm", "μF"})


# Doubting. Common practice, no source: the cases are mistakes that hands make.

NUT_WIDTH = (43, 42.5, 43.5, "mm")
SCALE = (628.65, 628.5, 628.8, "mm")


@pytest.mark.point(18)
@pytest.mark.parametrize(
    ("value", "field", "kind", "likely"),
    [
        (430, NUT_WIDTH, Slip.DECIMAL_POINT, "43"),
        (4310, NUT_WIDTH, Slip.DECIMAL_POINT, "43.1"),
        (0.43, NUT_WIDTH, Slip.DECIMAL_POINT, "43"),
        (4.3, NUT_WIDTH, Slip.CM_FOR_MM, "43"),
        (1.693, NUT_WIDTH, Slip.INCHES_FOR_MM, "43.0022"),
        (24.75, SCALE, Slip.INCHES_FOR_MM, "628.65"),
        (62.865, SCALE, Slip.CM_FOR_MM, "628.65"),
        (62.0, SCALE, Slip.CM_FOR_MM, "620"),
        (6.2865, SCALE, Slip.DECIMAL_POINT, "628.65"),
        (628.65, (24.75, 24.7, 24.8, "in"), Slip.MM_FOR_INCHES, "24.75"),
        (628.65, (24.75, 24.7, 24.8, '"'), Slip.MM_FOR_INCHES, "24.75"),
        (2.475, (24.75, 24.7, 24.8, "in"), Slip.DECIMAL_POINT, "24.75"),
        (3.12, (3100, 2900, 3300, "g"), Slip.KG_FOR_G, "3120"),
        (3120, (3.1, 2.9, 3.3, "kg"), Slip.G_FOR_KG, "3.12"),
        (72, (7.2, 6, 8, "%"), Slip.DECIMAL_POINT, "7.2"),
        (72, (7.2, None, 8, "%"), Slip.DECIMAL_POINT, "7.2"),
        (72, (None, 6, 8, None), Slip.DECIMAL_POINT, "7.2"),
        (2, (None, 100, None, None), Slip.DECIMAL_POINT, "200"),
        (-430, (-43, -43.5, -42.5, None), Slip.DECIMAL_POINT, "-43"),
        (1.5, (0, -0.2, 0.2, None), Slip.DECIMAL_POINT, "0.15"),
    ],
)
def test_a_slip_is_seen_and_the_value_meant_is_named(
    value: float,
    field: tuple[float | None, float | None, float | None, str | None],
    kind: Slip,
    likely: str,
) -> None:
    assert doubt(value, *field) == Doubt(kind, Decimal(likely))


@pytest.mark.parametrize(
    ("value", "field"),
    [
        (43, NUT_WIDTH),
        (43.6, NUT_WIDTH),
        (44.5, NUT_WIDTH),
        (40, NUT_WIDTH),
        (60, NUT_WIDTH),
        (25, NUT_WIDTH),
        (0, NUT_WIDTH),
        (-43, NUT_WIDTH),
        (9999, NUT_WIDTH),
        (12, (3, None, 8, "%")),
        (11, (5, 0, 10, None)),
        (25, (5, 0, 10, None)),
        (0.5, (0, -0.2, 0.2, None)),
        (1e9, (5, None, None, None)),
        (5, (None, None, 0, None)),
        (3.12, (3100, 2900, 3300, "mm")),
        (1.693, (43, 42.5, 43.5, "furlong")),
        (1.693, (43, 42.5, 43.5, None)),
    ],
)
def test_what_no_slip_explains_is_not_doubted(
    value: float, field: tuple[float | None, float | None, float | None, str | None]
) -> None:
    assert doubt(value, *field) is None


@given(
    st.decimals("0.1", 5000, places=2),
    st.sampled_from([(10, 1), (1, 10), (100, 1), (1, 100)]),
)
def test_any_slip_of_the_point_is_taken_back(
    nominal: Decimal, slip: tuple[int, int]
) -> None:
    typed = nominal * slip[0] / slip[1]
    lower, upper = nominal * Decimal("0.98"), nominal * Decimal("1.02")
    assert doubt(typed, nominal, lower, upper) == Doubt(Slip.DECIMAL_POINT, nominal)


@given(
    st.sampled_from([0.01, 0.1, 10, 25.4, 100]),
    st.floats(0.9, 1.1),
    st.floats(0.01, 1e4),
    st.floats(0.0001, 0.3),
)
def test_the_value_meant_is_itself_beyond_doubt(
    slip: float, ratio: float, nominal: float, share: float
) -> None:
    field = (nominal, nominal * (1 - share), nominal * (1 + share), "mm")
    doubted = doubt(nominal * ratio / slip, *field)
    if abs(ratio - 1) <= max(share, 0.05) - 1e-6:
        assert doubted is not None
    if doubted is not None:
        assert doubt(doubted.likely, *field) is None


@given(st.floats(0.4, 2.5), st.floats(0.01, 1e4), st.floats(0.0001, 0.15))
def test_a_value_within_reach_of_its_nominal_is_never_doubted(
    ratio: float, nominal: float, share: float
) -> None:
    field = (nominal, nominal * (1 - share), nominal * (1 + share), "mm")
    assert doubt(ratio * nominal, *field) is None


def test_a_doubt_needs_numbers() -> None:
    with pytest.raises(ValueError, match="value must be a finite number"):
        doubt(math.nan, 43, 42.5, 43.5)
    with pytest.raises(ValueError, match="nominal must be a finite number"):
        doubt(430, math.inf, 42.5, 43.5)
    with pytest.raises(ValueError, match="lower must not be above upper"):
        doubt(430, 43, 43.5, 42.5)
