"""Does the density of wood come out of mass and size?"""

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.wood import (
    density_kg_m3,
    equilibrium_moisture_pct,
    equilibrium_moistures_pct,
    relative_humidity_pct,
    temperature_c_for,
)

DATA = Path(__file__).parent / "data"
SIZES = st.floats(1, 10_000)


# A litre of water at 4 °C weighs a kilogram (from memory: the kilogram's old
# definition), and floats on nothing lighter.
def test_a_litre_that_weighs_a_kilogram_is_as_dense_as_water() -> None:
    assert density_kg_m3(1000, 100, 100, 100) == pytest.approx(1000)
    assert density_kg_m3(1000, 1000, 10, 100) == pytest.approx(1000)


# USDA Wood Handbook, FPL-GTR-190 (2010): white ash has a specific gravity of 0.60 at
# 12 % moisture (public pages quote the column); with 12 % water a cubic metre weighs
# 0.60 × 1000 × 1.12 = 672 kg, so a plank of 4000 × 200 × 50 mm weighs 26.88 kg.
def test_a_plank_of_white_ash_weighs_what_the_handbook_says() -> None:
    assert density_kg_m3(26_880, 4000, 200, 50) == pytest.approx(672)


@given(mass=st.floats(1, 1e6), sizes=st.tuples(SIZES, SIZES, SIZES))
def test_density_grows_with_mass_and_not_with_the_order_of_sizes(mass, sizes) -> None:
    length, width, thickness = sizes
    density = density_kg_m3(mass, length, width, thickness)
    assert math.isclose(density_kg_m3(2 * mass, *sizes), 2 * density)
    assert math.isclose(density_kg_m3(mass, thickness, length, width), density)


@pytest.mark.parametrize("bad", [0, -1, math.inf, math.nan])
@pytest.mark.parametrize("place", range(4))
def test_what_is_no_size_is_refused(bad: float, place: int) -> None:
    given = [1000.0, 100.0, 100.0, 100.0]
    given[place] = bad
    name = ("mass_g", "length_mm", "width_mm", "thickness_mm")[place]
    with pytest.raises(ValueError, match=f"^{name} must be above 0"):
        density_kg_m3(*given)


# USDA Wood Handbook, FPL-GTR-190 (2010), table 4-2: cells printed in °F, quoted by a
# public test file of a wood movement library; printed to 0.1, so within 0.1.
PRINTED = (
    (70, 20, 4.5),
    (70, 30, 6.2),
    (70, 60, 11.0),
    (70, 65, 12.0),
    (70, 70, 13.1),
    (70, 90, 20.5),
    (30, 30, 6.3),
    (50, 50, 9.5),
    (80, 65, 11.7),
    (140, 50, 7.7),
)


@pytest.mark.parametrize(("fahrenheit", "humidity", "printed"), PRINTED)
def test_the_air_of_the_handbooks_table_gives_its_moisture(
    fahrenheit: float, humidity: float, printed: float
) -> None:
    celsius = (fahrenheit - 32) / 1.8
    found = equilibrium_moisture_pct(celsius, humidity)
    assert found == pytest.approx(printed, abs=0.1)


# The equation with Simpson's constants for °C (1998, Research Note FPL-RN-0268),
# computed in double precision outside this project.
@pytest.mark.parametrize(
    ("celsius", "humidity", "exact"),
    [(-5, 10, 2.60190170165), (-5, 20, 4.58741476956), (-5, 35, 7.06750524846)],
)
def test_the_equation_is_computed_to_its_last_digits(
    celsius: float, humidity: float, exact: float
) -> None:
    found = equilibrium_moisture_pct(celsius, humidity)
    assert found == pytest.approx(exact, abs=1e-6)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def test_the_equation_is_that_of_its_paper_everywhere() -> None:
    """Source: tests/formulas/data/README.md; tolerance 1e-6 %."""
    table = rows("equilibrium_moisture.csv")
    assert len(table) == 252
    for row in table:
        air = float(row["temperature_c"]), float(row["relative_humidity_pct"])
        exact = float(row["moisture_pct"])
        assert equilibrium_moisture_pct(*air) == pytest.approx(exact, abs=1e-6), row


def test_the_handbooks_table_is_met_in_each_cell() -> None:
    """Source: tests/formulas/data/README.md.

    The table is rounded to 0.1 from the constants for °F, which differ from those for
    °C by up to 0.05: so a cell agrees within 0.1.
    """
    table = rows("equilibrium_moisture_table.csv")
    assert len(table) == 203
    for row in table:
        celsius = (float(row["temperature_f"]) - 32) / 1.8
        found = equilibrium_moisture_pct(celsius, float(row["relative_humidity_pct"]))
        assert found == pytest.approx(float(row["moisture_pct"]), abs=0.1), row


WARM, DAMP = st.floats(10, 90), st.floats(1, 99)


@given(warm=WARM, damp=DAMP)
def test_the_air_for_a_moisture_gives_that_moisture(warm: float, damp: float) -> None:
    moisture = equilibrium_moisture_pct(warm, damp)
    assert relative_humidity_pct(moisture, warm) == pytest.approx(damp, abs=1e-6)
    warmth = temperature_c_for(moisture, damp)
    assert equilibrium_moisture_pct(warmth, damp) == pytest.approx(moisture, abs=1e-6)


@given(warm=st.floats(5, 89), damp=st.floats(1, 95))
def test_damper_air_makes_wetter_and_warmer_air_drier_wood(warm, damp) -> None:
    here = equilibrium_moisture_pct(warm, damp)
    assert equilibrium_moisture_pct(warm, damp + 1) > here
    assert equilibrium_moisture_pct(warm + 1, damp) < here


def test_many_moments_are_as_one_by_one() -> None:
    warm, damp = [20.0, 35.5, 61.0], [80.0, 33.0, 5.0]
    one_by_one = [
        equilibrium_moisture_pct(*air) for air in zip(warm, damp, strict=True)
    ]
    assert equilibrium_moistures_pct(warm, damp).tolist() == pytest.approx(one_by_one)
    for bad in ([20.0, 200.0, 20.0], [20.0, math.nan, 20.0]):
        with pytest.raises(ValueError, match="temperatures_c must all lie"):
            equilibrium_moistures_pct(bad, damp)


@pytest.mark.parametrize(
    ("temperature", "humidity", "name"),
    [(131, 50, "temperature_c"), (20, 105, "relative_humidity_pct")],
)
def test_air_that_cannot_be_is_refused(temperature, humidity, name) -> None:
    with pytest.raises(ValueError, match=f"^{name} must lie"):
        equilibrium_moisture_pct(temperature, humidity)


def test_a_moisture_that_no_such_air_gives_is_refused() -> None:
    with pytest.raises(ValueError, match=r"^moisture_pct must lie"):
        temperature_c_for(1.0, 60)
    with pytest.raises(ValueError, match=r"^moisture_pct must lie"):
        relative_humidity_pct(60, 20)


def test_cold_damp_air_is_no_answer() -> None:
    """At 98 % and 5 °C wood is as wet as it gets; at -20 °C it is drier again."""
    wettest = equilibrium_moisture_pct(5, 98)
    assert wettest > max(equilibrium_moisture_pct(warm, 98) for warm in (-20, 0, 10))
    with pytest.raises(ValueError, match=r"^moisture_pct must lie"):
        temperature_c_for(wettest, 98)
