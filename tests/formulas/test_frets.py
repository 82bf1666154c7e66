"""Do frets, notes and strings come out as published?"""

import csv
import math
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas import frets

SCALES = st.floats(300, 1200)
INCH_MM = 25.4
DATA = Path(__file__).parent / "data"


def exact_rows() -> list[tuple[float, int, float]]:
    with (DATA / "fret_positions.csv").open(newline="") as table:
        return [
            (float(r["scale_mm"]), int(r["fret"]), float(r["nut_to_fret_mm"]))
            for r in csv.DictReader(table)
        ]


# Published: noah.org wiki, "fret positioning", factors of the string length, 24 frets,
# printed to six decimals.
@pytest.mark.parametrize(
    ("fret", "fraction"),
    [
        (1, 0.056126),
        (2, 0.109101),
        (3, 0.159104),
        (7, 0.33258),
        (8, 0.370039),
        (9, 0.405396),
        (10, 0.438769),
        (11, 0.470268),
        (12, 0.5),
        (14, 0.554551),
        (16, 0.60315),
        (17, 0.625423),
        (18, 0.646447),
        (19, 0.66629),
        (22, 0.719385),
        (23, 0.735134),
    ],
)
def test_frets_stand_at_the_published_fractions(fret: int, fraction: float) -> None:
    assert frets.positions_mm(1.0, 24)[fret - 1] == pytest.approx(fraction, abs=6e-7)


# Published: stuphi.co.uk, "Guitar bits n bobs", 25 in scale, fret to bridge in mm.
@pytest.mark.parametrize(
    ("fret", "to_bridge_mm"),
    [
        (2, 565.721),
        (3, 533.969),
        (4, 504.0),
        (5, 475.712),
        (7, 423.812),
        (8, 400.025),
        (9, 377.573),
    ],
)
def test_a_25_inch_scale_has_the_published_frets(
    fret: int, to_bridge_mm: float
) -> None:
    place = frets.positions_mm(25 * INCH_MM, fret)[-1]
    assert 635 - place == pytest.approx(to_bridge_mm, abs=6e-4)


# Published: noah.org wiki, "fret positioning", a 16 in string, printed to 0.01 in.
@pytest.mark.parametrize(
    ("fret", "inches"),
    [(1, 0.9), (3, 2.55), (5, 4.01), (7, 5.32), (12, 8.0), (17, 10.01), (24, 12.0)],
)
def test_a_16_inch_string_has_the_published_frets(fret: int, inches: float) -> None:
    place = frets.positions_mm(16 * INCH_MM, 24)[fret - 1]
    assert place / INCH_MM == pytest.approx(inches, abs=0.006)


def test_every_fret_of_the_exact_table_is_met() -> None:
    """Source: tests/formulas/data/README.md; tolerance 1e-6 mm."""
    rows = exact_rows()
    assert len(rows) == 180
    for scale_mm, fret, place_mm in rows:
        found = frets.positions_mm(scale_mm, 24)[fret - 1]
        assert found == pytest.approx(place_mm, abs=1e-6)


def test_the_shop_rule_of_17_817_agrees_to_three_thousandths_of_a_millimetre() -> None:
    """The exact divisor is 17.817153745…; the rule is common shop practice."""
    left_mm = 647.7
    for place in frets.positions_mm(647.7, 24):
        left_mm -= left_mm / 17.817
        assert 647.7 - left_mm == pytest.approx(place, abs=0.003)


# Equal temperament on A4 = 440 Hz (ISO 16:1975, from memory); computed with music21
# 10.5.1, pitch.Pitch(name).frequency.
@pytest.mark.parametrize(
    ("note", "hertz"),
    [
        ("E2", 82.4068892282),
        ("A2", 110.0),
        ("D3", 146.832383959),
        ("G3", 195.997717991),
        ("B3", 246.941650628),
        ("E4", 329.627556913),
        ("A4", 440.0),
        ("E1", 41.2034446141),
        ("A1", 55.0),
        ("G2", 97.9988589954),
        ("B0", 30.8677063285),
        ("A3", 220.0),
        ("B4", 493.883301256),
        ("C5", 523.251130601),
        ("F#3", 184.997211356),
        ("C#4", 277.182630977),
        ("G#4", 415.30469758),
        ("F1", 43.6535289291),
    ],
)
def test_notes_have_their_frequencies(note: str, hertz: float) -> None:
    assert frets.frequency_hz(note) == pytest.approx(hertz, abs=1e-6)


# 1200 log2(f2 / f1), computed apart from this project; 386.314 for the just third and
# 21.506 for the syntonic comma are also well known.
@pytest.mark.parametrize(
    ("reference", "frequency", "cents"),
    [
        (440, 445, 19.5621747949),
        (440, 880, 1200.0),
        (4, 5, 386.313713865),
        (82.4068892282, 82.0, -8.56925068789),
        (329.627556913, 331.0, 7.19323193907),
        (146.832383959, 146.0, -9.84218557357),
        (80, 81, 21.5062895967),
        (440, 442, 7.85141504013),
        (440, 432, -31.7666536334),
    ],
)
def test_cents_are_as_computed_elsewhere(
    reference: float, frequency: float, cents: float
) -> None:
    assert frets.cents(frequency, reference) == pytest.approx(cents, abs=1e-6)


# The ideal string, T = m (2 L f)^2, computed apart from this project: label, kg/m, mm,
# Hz, N. Plain strings from diameter and a density of 7850 kg/m3.
@pytest.mark.parametrize(
    ("unit_mass", "scale_mm", "hertz", "newton"),
    [
        pytest.param(0.000322189950584, 647.7, 329.627556913, 58.7444441675, id=".009"),
        pytest.param(0.000397765371092, 647.7, 329.627556913, 72.524005145, id=".010"),
        pytest.param(
            0.000397765371092, 628.65, 329.627556913, 68.320624224, id=".010 short"
        ),
        pytest.param(0.000672223477145, 647.7, 246.941650628, 68.7875996448, id=".013"),
        pytest.param(0.000481296099021, 628.65, 246.941650628, 46.395821224, id=".011"),
        pytest.param(0.00035898324741, 635.0, 329.627556913, 62.9112981963, id=".0095"),
        pytest.param(0.000481296099021, 609.6, 329.627556913, 77.733688006, id="24 in"),
        pytest.param(0.0031, 628.65, 110.0, 59.2959314079, id="wound A2"),
        pytest.param(0.0168, 863.6, 41.2034446141, 85.0866822355, id="bass E1"),
    ],
)
def test_strings_pull_as_computed_elsewhere(
    unit_mass: float, scale_mm: float, hertz: float, newton: float
) -> None:
    found = frets.string_tension_n(unit_mass, scale_mm, hertz)
    assert found == pytest.approx(newton, abs=1e-6)


# Properties.


@given(SCALES, st.integers(0, 36))
def test_frets_rise_ever_more_slowly_and_never_reach_the_bridge(
    scale_mm: float, count: int
) -> None:
    places = (0.0, *frets.positions_mm(scale_mm, count))
    steps = [b - a for a, b in pairwise(places)]
    assert len(steps) == count
    assert places[-1] < scale_mm
    assert all(a > b > 0 for a, b in pairwise(steps))


@given(SCALES, st.integers(1, 24))
def test_twelve_frets_on_halve_what_is_left(scale_mm: float, fret: int) -> None:
    places = frets.positions_mm(scale_mm, 36)
    left = scale_mm - places[fret - 1]
    assert scale_mm - places[fret + 11] == pytest.approx(left / 2, rel=1e-12)


@given(SCALES, st.floats(20, 2000), st.integers(1, 24))
def test_a_fret_shortens_the_string_by_its_number_of_semitones(
    scale_mm: float, hertz: float, fret: int
) -> None:
    left = scale_mm - frets.positions_mm(scale_mm, fret)[-1]
    fretted_hz = hertz * scale_mm / left
    assert frets.cents(fretted_hz, hertz) == pytest.approx(100 * fret, abs=1e-8)


@given(st.floats(1, 1e5), st.floats(1, 1e5), st.floats(1, 1e5))
def test_cents_turn_round_and_add_up(a: float, b: float, c: float) -> None:
    assert frets.cents(a, b) == pytest.approx(-frets.cents(b, a), abs=1e-8)
    there = frets.cents(a, b) + frets.cents(b, c)
    assert there == pytest.approx(frets.cents(a, c), abs=1e-8)


@given(st.floats(1e-5, 0.1), SCALES, st.floats(20, 2000))
def test_the_tension_gives_the_frequency_back(
    unit_mass: float, scale_mm: float, hertz: float
) -> None:
    newton = frets.string_tension_n(unit_mass, scale_mm, hertz)
    back = math.sqrt(newton / unit_mass) / (2 * scale_mm / 1000)
    assert back == pytest.approx(hertz, rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("C#4", "Db4"),
        ("B#3", "C4"),
        ("Cb4", "B3"),
        ("F##2", "G2"),
        ("Bbb2", "A2"),
        ("B♭2", "A#2"),
        ("F♯3", "Gb3"),
    ],
)
def test_one_key_has_two_names(one: str, other: str) -> None:
    assert frets.frequency_hz(one) == frets.frequency_hz(other)


# Edges.


def test_a_fretless_neck_has_no_frets() -> None:
    assert frets.positions_mm(863.6, 0) == ()


@pytest.mark.parametrize("count", [-1, 101])
def test_a_count_out_of_range_is_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"count must be from 0 to 100, got {count}"):
        frets.positions_mm(647.7, count)


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_what_is_not_more_than_nothing_is_refused_by_name(bad: float) -> None:
    with pytest.raises(ValueError, match="scale_mm must be finite and more than 0"):
        frets.positions_mm(bad, 22)
    with pytest.raises(ValueError, match="frequency_hz must be"):
        frets.cents(bad, 440)
    with pytest.raises(ValueError, match="reference_hz must be"):
        frets.cents(440, bad)
    with pytest.raises(ValueError, match="unit_mass_kg_m must be"):
        frets.string_tension_n(bad, 647.7, 110)
    with pytest.raises(ValueError, match="scale_mm must be"):
        frets.string_tension_n(0.003, bad, 110)
    with pytest.raises(ValueError, match="frequency_hz must be"):
        frets.string_tension_n(0.003, 647.7, bad)


@pytest.mark.parametrize("note", ["", "H4", "a4", "A", "4A", "A#b4", "A4 ", "A444"])
def test_what_is_no_note_is_refused(note: str) -> None:
    with pytest.raises(ValueError, match="note must be like A4"):
        frets.frequency_hz(note)


@pytest.mark.parametrize("note", ["Cb-1", "G#9", "A99", "C-2"])
def test_a_note_off_the_keyboard_is_refused(note: str) -> None:
    with pytest.raises(ValueError, match="note must be from C-1 to G9"):
        frets.frequency_hz(note)


def test_the_ends_of_the_keyboard_are_on_it() -> None:
    """Keys 0 and 127 of MIDI are 8.1758 Hz and 12 543.85 Hz (from memory)."""
    assert frets.frequency_hz("C-1") == pytest.approx(8.1758, abs=5e-5)
    assert frets.frequency_hz("G9") == pytest.approx(12543.85, abs=5e-3)
