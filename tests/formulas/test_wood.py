"""Does the density of wood come out of mass and size?"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.wood import density_kg_m3

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
