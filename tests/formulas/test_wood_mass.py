"""Do mass, water and size of wood come out as published?"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas import tables
from travelers.formulas.wood import (
    DensityRange,
    Slipped,
    body_mass_g,
    density_at_kg_m3,
    density_kg_m3,
    density_range_kg_m3,
    dimension_change_mm,
    gravity_at,
    metered_moisture_pct,
    oven_dry_moisture_pct,
    shrinkage_change_mm,
    slipped_units,
)

MOISTURES = st.floats(0, 30)
ASH = density_range_kg_m3(0.60)


# ASTM D4442: moisture content by oven drying, in percent of the oven-dry mass (the
# definition from secondary sources); masses computed apart from this project.
@pytest.mark.parametrize(
    ("wet_g", "dry_g", "moisture_pct"),
    [
        (59, 37.106918239, 59.0),
        (120.0, 100.0, 20.0),
        (256.31, 238.77, 7.34598148846),
        (31.842, 29.516, 7.88047160862),
        (1503.2, 1377.6, 9.11730545877),
        (45.07, 41.93, 7.48867159552),
    ],
)
def test_an_oven_dried_sample_says_its_moisture(
    wet_g: float, dry_g: float, moisture_pct: float
) -> None:
    assert oven_dry_moisture_pct(wet_g, dry_g) == pytest.approx(moisture_pct, abs=1e-8)


# A published table of water by the wet mass (native-power.de, a page on firewood): wood
# of 20 % moisture holds 167 g of water a kilogram, of 100 % it holds 500 g.
@pytest.mark.parametrize(
    ("moisture_pct", "water_g_per_kg"),
    [(20, 167), (30, 231), (40, 286), (60, 375), (70, 412), (100, 500)],
)
def test_moisture_is_by_the_dry_mass_and_not_by_the_wet(
    moisture_pct: float, water_g_per_kg: float
) -> None:
    found = oven_dry_moisture_pct(1000, 1000 - water_g_per_kg)
    assert found == pytest.approx(moisture_pct, abs=0.2)


def test_a_sample_that_gained_mass_in_the_oven_is_refused() -> None:
    with pytest.raises(ValueError, match="dry_mass_g must not be above"):
        oven_dry_moisture_pct(100, 101)
    with pytest.raises(ValueError, match="dry_mass_g must be above 0"):
        oven_dry_moisture_pct(100, 0)


# Simpson (1993), FPL-GTR-76; the relation from memory, computed apart from here.
@pytest.mark.parametrize(
    ("green", "moisture_pct", "gravity", "density"),
    [
        (0.56, 8, 0.62838505042, 678.655854454),
        (0.49, 12, 0.531401490093, 595.169668904),
        (0.40, 12, 0.427167876976, 478.428022213),
        (0.51, 6, 0.571825806162, 606.135354532),
        (0.56, 0, 0.657585720996, 657.585720996),
        (0.44, 30, 0.44, 572.0),
        (0.75, 8, 0.877963125549, 948.200175593),
        (0.45, 6, 0.497457439752, 527.304886138),
    ],
)
def test_gravity_follows_the_volume_that_wood_has_at_its_moisture(
    green: float, moisture_pct: float, gravity: float, density: float
) -> None:
    assert gravity_at(green, moisture_pct) == pytest.approx(gravity, abs=1e-9)
    assert density_at_kg_m3(gravity, moisture_pct) == pytest.approx(density, abs=1e-6)


# Forestry functions by D. R. Larsen, citing the Wood Handbook, chapter 4: G 0.40 at
# 12 % is 448 kg/m³ or 27.968 lb/ft³ (1 lb/ft³ = 16.018463 kg/m³).
def test_density_is_what_a_published_example_says() -> None:
    found = density_at_kg_m3(0.40, 12)
    assert found == pytest.approx(448, abs=0.05)
    assert found / 16.018463 == pytest.approx(27.968, abs=0.001)


@pytest.mark.parametrize(
    ("gravity", "density"),
    [(0.41, 459.2), (0.63, 705.6), (0.42, 470.4), (0.54, 604.8), (0.47, 526.4)],
)
def test_density_at_12_pct_is_the_gravity_with_its_water(
    gravity: float, density: float
) -> None:
    assert density_at_kg_m3(gravity, 12) == pytest.approx(density, abs=1e-9)


@given(green=st.floats(0.1, 0.8), moistures=st.tuples(MOISTURES, MOISTURES))
def test_wetter_wood_has_the_larger_volume_and_weighs_more(green, moistures) -> None:
    dry, wet = sorted(moistures)
    assert gravity_at(green, wet) <= gravity_at(green, dry)
    assert density_at_kg_m3(gravity_at(green, wet), wet) >= (
        density_at_kg_m3(gravity_at(green, dry), dry) - 1e-9
    )


# The handbook's white fir (FPL-GTR-190, 2010, chapter 13), by a public quotation; the
# mesquite floor of a flooring company's page, in inches; the others by eq. 13-2.
@pytest.mark.parametrize(
    ("size", "coefficient", "was_pct", "is_pct", "change", "within"),
    [
        (232, 0.00245, 8, 11, 1.705, 0.001),
        (5, 0.00129, 6, 9, 0.019, 0.0005),
        (25.0, 0.00165, 8, 6, -0.0825, 1e-9),
        (330.0, 0.00256, 7, 10, 2.5344, 1e-9),
        (165.0, 0.00274, 12, 7, -2.2605, 1e-9),
        (330.0, 0.00238, 10, 7, -2.3562, 1e-9),
        (340.0, 0.0033, 6, 9, 3.366, 1e-9),
        (320.0, 0.00289, 8, 12, 3.6992, 1e-9),
    ],
)
def test_wood_moves_as_published(
    size: float,
    coefficient: float,
    was_pct: float,
    is_pct: float,
    change: float,
    within: float,
) -> None:
    found = dimension_change_mm(size, was_pct, is_pct, coefficient)
    assert found == pytest.approx(change, abs=within)


# By the definition of the shrinkage (tables 4-3 and 4-4): from green to oven-dry.
@given(size=st.floats(1, 5000), shrinkage=st.floats(0.5, 15))
def test_green_wood_shrinks_by_its_whole_shrinkage_in_the_oven(size, shrinkage) -> None:
    found = shrinkage_change_mm(size, 30, 0, shrinkage)
    assert found == pytest.approx(-size * shrinkage / 100)


@given(
    size=st.floats(1, 5000),
    shrinkage=st.floats(0.5, 15),
    moistures=st.tuples(MOISTURES, MOISTURES),
)
def test_wood_that_dries_and_swells_back_has_its_old_size(
    size, shrinkage, moistures
) -> None:
    first, second = moistures
    between = size + shrinkage_change_mm(size, first, second, shrinkage)
    back = between + shrinkage_change_mm(between, second, first, shrinkage)
    assert back == pytest.approx(size)


def test_both_ways_to_reckon_agree_in_the_middle_of_the_coefficients_range() -> None:
    maple = tables.species_movement()["Maple, sugar"]
    assert maple.tangential_per_point
    assert maple.tangential_shrinkage_pct
    by_coefficient = dimension_change_mm(300, 10, 7, maple.tangential_per_point)
    by_shrinkage = shrinkage_change_mm(300, 10, 7, maple.tangential_shrinkage_pct)
    assert by_coefficient == pytest.approx(by_shrinkage, rel=0.01)


# The handbook's coefficient of variation of 10 % (chapter 4): white ash of 0.60.
def test_the_range_of_a_species_holds_its_light_and_heavy_pieces() -> None:
    assert ASH.least == pytest.approx(0.60 * 1060 * 0.7)
    assert ASH.most == pytest.approx(0.60 * 1200 * 1.3)
    assert ASH.mean == pytest.approx(0.60 * 1130)


PLANK = (26_880.0, 4000.0, 200.0, 50.0)


# The plank of white ash of 672 kg/m³, each number written in another unit.
@pytest.mark.parametrize(
    ("written", "slip"),
    [
        ((26.88, 4000, 200, 50), Slipped.MASS_IN_KG),
        ((26_880, 4, 200, 50), Slipped.LENGTH_IN_M),
        ((26_880, 4000, 200, 5.0), Slipped.THICKNESS_IN_CM),
        ((26_880, 4000, 20, 50), Slipped.WIDTH_IN_CM),
        ((26_880, 400, 200, 50), Slipped.LENGTH_IN_CM),
        ((26_880, 4000, 200, 1.97), Slipped.THICKNESS_IN_INCHES),
        ((26_880, 400, 20, 5), Slipped.ALL_IN_CM),
        ((26_880, 157.5, 7.87, 1.97), Slipped.ALL_IN_INCHES),
        ((59.26, 4000, 200, 50), Slipped.MASS_IN_LB),
    ],
)
def test_a_slip_of_one_unit_is_among_those_that_are_named(
    written: tuple[float, float, float, float], slip: Slipped
) -> None:
    assert slip in slipped_units(density_kg_m3(*written), ASH)


def test_nothing_is_doubted_of_wood_as_it_should_be() -> None:
    assert slipped_units(density_kg_m3(*PLANK), ASH) == ()


@given(density=st.floats(1e-3, 1e9), mean=st.floats(200, 1000))
def test_each_slip_that_is_named_would_explain_the_density(density, mean) -> None:
    expected = DensityRange(0.7 * mean, mean, 1.3 * mean)
    named = slipped_units(density, expected)
    assert len(named) == len(set(named))
    if expected.least <= density <= expected.most:
        assert not named
    for slip in named:
        if slip is Slipped.MASS_IN_KG:
            assert expected.least <= density * 1000 <= expected.most


def test_a_body_weighs_its_volume_of_the_wood() -> None:
    assert body_mass_g(500, 4000) == 2000
    assert math.isclose(body_mass_g(672, 3500), 2352)


# A maker's rule of thumb (manual of a hand-held pin meter): half a point for each 5 °C
# from 20 °C, less where the wood is warmer.
@pytest.mark.parametrize(
    ("shown", "wood_c", "moisture"),
    [(10.0, 20, 10.0), (10.0, 15, 10.5), (10.0, 25, 9.5), (9.0, 40, 7.0)],
)
def test_a_meter_is_corrected_for_the_warmth_of_the_wood(
    shown: float, wood_c: float, moisture: float
) -> None:
    assert metered_moisture_pct(shown, wood_c) == pytest.approx(moisture)


def test_a_meter_is_corrected_for_the_species_between_the_rows_of_its_table() -> None:
    table = [(7.0, -0.5), (9.0, 0.3)]
    shown = [5.0, 7.0, 8.0, 9.0, 15.0]
    found = [metered_moisture_pct(at, corrections=table) for at in shown]
    assert found == pytest.approx([4.5, 6.5, 7.9, 9.3, 15.3])


def test_a_meter_without_a_table_says_what_it_shows() -> None:
    assert metered_moisture_pct(8.4) == 8.4
    assert metered_moisture_pct(0.4, corrections=[(5.0, -1.0)]) == 0


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: metered_moisture_pct(101), "meter_pct must lie"),
        (lambda: metered_moisture_pct(8, wood_c=200), "wood_c must lie"),
        (lambda: metered_moisture_pct(8, corrections=[(9, 0), (7, 0)]), "must grow"),
        (lambda: dimension_change_mm(100, 8, 31, 0.002), "to_pct must lie"),
        (lambda: dimension_change_mm(100, math.nan, 8, 0.002), "from_pct must lie"),
        (lambda: dimension_change_mm(100, 6, 8, 0.2), "coefficient must lie"),
        (lambda: dimension_change_mm(-1, 6, 8, 0.002), "dimension_mm must be above"),
        (lambda: shrinkage_change_mm(100, 6, 8, 0), "shrinkage_pct must lie"),
        (lambda: gravity_at(0, 8), "gravity_green must lie"),
        (lambda: gravity_at(0.5, 301), "moisture_pct must lie"),
        (lambda: density_range_kg_m3(0.6, 12, 8), "driest_pct must lie"),
        (lambda: slipped_units(math.inf, ASH), "density_kg_m3 must be above"),
        (lambda: body_mass_g(500, 0), "volume_cm3 must be above"),
    ],
)
def test_what_cannot_be_is_refused_by_its_name(wrong, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        wrong()
