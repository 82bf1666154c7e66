"""Do spread and mass agree with the arithmetic, and with water and steel?"""

import math
import statistics

import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.matching import part_mass_g, spread_pct

DENSITIES = st.lists(st.floats(100, 1500), min_size=1, max_size=8)


# Water at 4 °C has 1,000 kg/m³ by the old definition of the kilogram; the densities of
# iron and cork (7,874 and 240 kg/m³) are from memory.
@pytest.mark.parametrize(
    ("density", "volume", "mass"), [(1000, 1000, 1000), (7874, 1, 7.874), (240, 50, 12)]
)
def test_known_stuff_weighs_what_it_weighs(density, volume, mass) -> None:
    assert part_mass_g(density, volume) == pytest.approx(mass)


@given(DENSITIES)
def test_the_spread_is_the_range_over_the_mean(densities) -> None:
    mean = statistics.fmean(densities)
    expected = 100 * (max(densities) - min(densities)) / mean
    assert spread_pct(densities) == pytest.approx(expected)
    assert spread_pct(densities) >= 0


@given(DENSITIES, st.floats(0.5, 2))
def test_the_spread_does_not_ask_in_which_unit(densities, unit) -> None:
    scaled = [unit * density for density in densities]
    assert spread_pct(scaled) == pytest.approx(spread_pct(densities), abs=1e-9)


@pytest.mark.parametrize("bad", [0, -1, math.nan, math.inf])
def test_what_is_no_number_is_refused_by_name(bad) -> None:
    with pytest.raises(ValueError, match="densities_kg_m3 must be above 0"):
        spread_pct([500, bad])
    with pytest.raises(ValueError, match="density_kg_m3 must be above 0"):
        part_mass_g(bad, 4000)
    with pytest.raises(ValueError, match="volume_cm3 must be above 0"):
        part_mass_g(500, bad)
    with pytest.raises(ValueError, match="must be 1 or more"):
        spread_pct([])
