"""Do the pieces of a set belong together, and what will the part weigh?"""

import math
from collections.abc import Sequence


def spread_pct(densities_kg_m3: Sequence[float]) -> float:
    """Say by how much the densities of pieces differ.

    Parameters
    ----------
    densities_kg_m3 : sequence of float
        One for each piece, in kg/m³, each above 0.

    Returns
    -------
    float
        The range, in percent of the mean; 0 for one piece.

    Raises
    ------
    ValueError
        If there is none, or one is not above 0 and finite.

    References
    ----------
    The range over the mean, as in ISO 3534-1 (range) from memory; that a set is judged
    by it is common practice, no source.

    Examples
    --------
    >>> spread_pct([480, 500, 520])
    8.0
    """
    if not densities_kg_m3:
        raise ValueError("densities_kg_m3 must be 1 or more, got none")
    for density in densities_kg_m3:
        _above_zero("densities_kg_m3", density)
    mean = math.fsum(densities_kg_m3) / len(densities_kg_m3)
    return 100 * (max(densities_kg_m3) - min(densities_kg_m3)) / mean


def part_mass_g(density_kg_m3: float, volume_cm3: float) -> float:
    """Say what a finished part will weigh in wood.

    Parameters
    ----------
    density_kg_m3 : float
        Of its set, at the moisture of the moment, above 0.
    volume_cm3 : float
        Of the part as it is finished, without hardware and finish, above 0.

    Returns
    -------
    float
        Mass in grams.

    Raises
    ------
    ValueError
        If a number is not above 0 and finite.

    Notes
    -----
    Wood that still dries will weigh less: about 1 % for each point of moisture.

    References
    ----------
    Mass is density times volume (ISO 80000-4:2019, item 4-2, from memory);
    1 kg/m³ = 10⁻³ g/cm³.

    Examples
    --------
    >>> part_mass_g(520, 4100)
    2132.0
    """
    _above_zero("density_kg_m3", density_kg_m3)
    _above_zero("volume_cm3", volume_cm3)
    return density_kg_m3 * volume_cm3 / 1000


def _above_zero(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} must be above 0 and finite, got {value!r}")
