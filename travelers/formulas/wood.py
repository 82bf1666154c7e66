"""How heavy is a piece of wood for its size?"""

import math


def density_kg_m3(
    mass_g: float, length_mm: float, width_mm: float, thickness_mm: float
) -> float:
    """Say the density of a piece from its mass and its three sizes.

    Parameters
    ----------
    mass_g : float
        Mass as weighed, in grams, above 0.
    length_mm, width_mm, thickness_mm : float
        Sizes in millimetres, each above 0.

    Returns
    -------
    float
        Mass over volume, in kilograms per cubic metre.

    Raises
    ------
    ValueError
        If a number is not above 0, or not finite.

    Notes
    -----
    At the moisture of the moment: wet wood weighs more than the dry wood of tables.

    References
    ----------
    ISO 80000-4:2019, item 4-2 (mass density), from memory; 1 g/mm³ = 10⁶ kg/m³.

    Examples
    --------
    A cube of 100 mm that weighs 1 kg is as dense as water at 4 °C.

    >>> density_kg_m3(1000, 100, 100, 100)
    1000.0
    """
    given = {
        "mass_g": mass_g,
        "length_mm": length_mm,
        "width_mm": width_mm,
        "thickness_mm": thickness_mm,
    }
    for name, value in given.items():
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be above 0 and finite, got {value!r}")
    return mass_g / (length_mm * width_mm * thickness_mm) * 1e6
