"""Which typed texts are values of a check?"""

from dataclasses import replace
from decimal import Decimal

import pytest
from django.utils import formats, translation
from hypothesis import given
from hypothesis import strategies as st

from travelers.floor.rules.typed import Unclear, value_of
from travelers.formulas.limits import read_number
from travelers.routes.rules import Check, CheckKind

WIDTH = Check(
    id=1,
    code="POCKET",
    name="Pocket width",
    kind=CheckKind.MEASURED,
    unit="mm",
    nominal=Decimal("56.10"),
    lower=Decimal("56.05"),
    upper=Decimal("56.20"),
    decimals=2,
    places=1,
    place_name="",
    every_nth=1,
    gauge_kind="caliper",
)
NIBS = replace(
    WIDTH, name="Nibs", kind=CheckKind.COUNTED, unit="", nominal=None, lower=None,
    upper=Decimal(3),
)  # fmt: skip
SHINE = replace(
    WIDTH, name="Shine", kind=CheckKind.JUDGED, unit="", nominal=None, lower=None,
    upper=None,
)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("56.1", "56.1"),
        ("56,1 mm", "56.1"),
        ("-0.25", "-0.25"),
        ("1234567890.1234", "1234567890.1234"),
    ],
)
def test_a_number_is_read_with_comma_point_and_its_unit(text: str, value: str) -> None:
    assert value_of(text, WIDTH) == Decimal(value)


@pytest.mark.point(18)
@given(
    st.decimals(-99_999, 99_999, places=2),
    st.sampled_from(["en", "es", "de"]),
    st.sampled_from(["", " mm"]),
)
def test_a_number_is_read_as_each_language_writes_it(
    value: Decimal, language: str, unit: str
) -> None:
    with translation.override(language):
        written = formats.number_format(value, 2, use_l10n=True)
    assert read_number(written + unit).value == value


@pytest.mark.point(18)
@given(st.decimals(1000, 99_999, places=2), st.sampled_from(["en", "es", "de"]))
def test_a_number_in_groups_is_asked_about_and_never_read_as_another(
    value: Decimal, language: str
) -> None:
    with translation.override(language):
        written = formats.number_format(value, 2, use_l10n=True, force_grouping=True)
    unclear = value_of(written, WIDTH)
    assert isinstance(unclear, Unclear)
    assert unclear.refusal.code in ("floor.value_two_marks", "floor.value_doubted")
    assert unclear.value in (None, value)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "floor.value_empty"),
        ("  ", "floor.value_empty"),
        ("abc", "floor.value_not_a_number"),
        ("1e3", "floor.value_not_a_number"),
        ("١٢", "floor.value_not_a_number"),
        ("1,234.5", "floor.value_two_marks"),
        ("1 234", "floor.value_two_marks"),
        ("2.2 oz", "floor.value_other_unit"),
        ("56.1 lbf", "floor.value_unknown_unit"),
        ("1.2E-1", "floor.value_not_a_number"),
        ("5.61 cm", "floor.value_other_unit"),
        ("0.00001", "floor.value_too_fine"),
        ("12345678901", "floor.value_too_fine"),
        ("9" * 5_000_000, "floor.value_too_long"),
    ],
)
def test_what_is_no_value_is_said_why(text: str, code: str) -> None:
    unclear = value_of(text, WIDTH)
    assert isinstance(unclear, Unclear)
    assert unclear.refusal.code == code
    assert unclear.refusal.status == 422
    assert unclear.likely is None
    assert len("".join(unclear.refusal.words.values())) < 100


@pytest.mark.parametrize(
    ("text", "likely"), [("561", "56.1"), ("5.61", "56.1"), ("2.2", "55.88")]
)
def test_a_slip_is_asked_about_with_what_was_probably_meant(
    text: str, likely: str
) -> None:
    unclear = value_of(text, WIDTH)
    assert isinstance(unclear, Unclear)
    assert unclear.refusal.code == "floor.value_doubted"
    assert unclear.likely == Decimal(likely)
    assert unclear.value == Decimal(text)


def test_what_is_confirmed_is_taken_only_as_it_was_confirmed() -> None:
    assert value_of("561", WIDTH, confirmed="561") == Decimal(561)
    assert isinstance(value_of("562", WIDTH, confirmed="561"), Unclear)
    assert isinstance(value_of("561", WIDTH, confirmed="yes"), Unclear)


def test_near_misses_are_not_doubted() -> None:
    assert value_of("56.4", WIDTH) == Decimal("56.4")


@pytest.mark.parametrize(("text", "ok"), [("0", True), ("3", True), ("2.0", True)])
def test_counts_are_whole_numbers(text: str, ok: bool) -> None:
    assert isinstance(value_of(text, NIBS), Decimal) is ok


@pytest.mark.parametrize("text", ["1.5", "-1", "2,25"])
def test_what_cannot_be_counted_is_asked_again(text: str) -> None:
    unclear = value_of(text, NIBS)
    assert isinstance(unclear, Unclear)
    assert unclear.refusal.code == "floor.value_not_whole"


def test_a_unit_where_none_is_wanted_is_asked_about() -> None:
    unclear = value_of("3 mm", NIBS)
    assert isinstance(unclear, Unclear)
    assert unclear.refusal.code == "floor.value_other_unit"


def test_a_judged_check_is_good_or_not() -> None:
    assert value_of("1", SHINE) == 1
    assert value_of("0", SHINE) == 0
    for text in ("", "2", "good"):
        assert isinstance(value_of(text, SHINE), Unclear)
