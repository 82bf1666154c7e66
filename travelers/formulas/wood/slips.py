"""Which unit slipped where a piece of wood is too light or too heavy to be one?"""

import math
from enum import StrEnum

from travelers.formulas.wood.given import must_be_above_0
from travelers.formulas.wood.mass import DensityRange


class Slipped(StrEnum):
    """Which number of a piece was written in another unit than asked."""

    MASS_IN_KG = "mass_in_kg"
    MASS_IN_LB = "mass_in_lb"
    LENGTH_IN_CM = "length_in_cm"
    LENGTH_IN_M = "length_in_m"
    WIDTH_IN_CM = "width_in_cm"
    THICKNESS_IN_CM = "thickness_in_cm"
    THICKNESS_IN_INCHES = "thickness_in_inches"
    ALL_IN_CM = "all_in_cm"
    ALL_IN_INCHES = "all_in_inches"


# By how much the density that was reckoned is too high where the unit slipped.
_TIMES_TOO_HIGH = {
    Slipped.MASS_IN_KG: 1e-3,
    Slipped.MASS_IN_LB: 1 / 453.59237,
    Slipped.LENGTH_IN_M: 1e3,
    Slipped.LENGTH_IN_CM: 10.0,
    Slipped.WIDTH_IN_CM: 10.0,
    Slipped.THICKNESS_IN_CM: 10.0,
    Slipped.THICKNESS_IN_INCHES: 25.4,
    Slipped.ALL_IN_CM: 1e3,
    Slipped.ALL_IN_INCHES: 25.4**3,
}


def slipped_units(density_kg_m3: float, expected: DensityRange) -> tuple[Slipped, ...]:
    """Say which slips of a unit would explain a density that no such wood has.

    Parameters
    ----------
    density_kg_m3 : float
        As reckoned from the numbers that were written down, above 0.
    expected : DensityRange
        Between which densities the species lies.

    Returns
    -------
    tuple of Slipped
        The likeliest first: that after which the density lies nearest to the mean.
        Empty where the density is one that the species has, or nothing explains it.

    Raises
    ------
    ValueError
        If the density is not above 0 and finite.

    Examples
    --------
    Ash of 672 kg/m³ whose mass was written in kilograms:

    >>> from travelers.formulas.wood import density_range_kg_m3
    >>> slipped_units(0.672, density_range_kg_m3(0.60))[0].value
    'mass_in_kg'
    """
    must_be_above_0(density_kg_m3=density_kg_m3)
    if expected.least <= density_kg_m3 <= expected.most:
        return ()
    meant = {slip: density_kg_m3 / times for slip, times in _TIMES_TOO_HIGH.items()}
    likely = [
        slip for slip, true in meant.items() if expected.least <= true <= expected.most
    ]
    return tuple(
        sorted(likely, key=lambda slip: abs(math.log(meant[slip] / expected.mean)))
    )
