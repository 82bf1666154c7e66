"""How dry does air make wood, how heavy is it, and how much does it move?"""

from travelers.formulas.wood.air import (
    equilibrium_moisture_pct,
    equilibrium_moistures_pct,
    relative_humidity_pct,
    temperature_c_for,
)
from travelers.formulas.wood.mass import (
    DensityRange,
    body_mass_g,
    density_at_kg_m3,
    density_kg_m3,
    density_range_kg_m3,
    gravity_at,
)
from travelers.formulas.wood.shape import (
    COEFFICIENT_DRIEST_PCT,
    COEFFICIENT_WETTEST_PCT,
    dimension_change_mm,
    shrinkage_change_mm,
)
from travelers.formulas.wood.slips import Slipped, slipped_units
from travelers.formulas.wood.water import metered_moisture_pct, oven_dry_moisture_pct

__all__ = [
    "COEFFICIENT_DRIEST_PCT",
    "COEFFICIENT_WETTEST_PCT",
    "DensityRange",
    "Slipped",
    "body_mass_g",
    "density_at_kg_m3",
    "density_kg_m3",
    "density_range_kg_m3",
    "dimension_change_mm",
    "equilibrium_moisture_pct",
    "equilibrium_moistures_pct",
    "gravity_at",
    "metered_moisture_pct",
    "oven_dry_moisture_pct",
    "relative_humidity_pct",
    "shrinkage_change_mm",
    "slipped_units",
    "temperature_c_for",
]
