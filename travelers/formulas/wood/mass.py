"""How heavy is wood for its size?"""

from dataclasses import dataclass

from travelers.formulas.wood.given import must_be_above_0, must_lie

# Above the fibre saturation point wood takes up water without swelling (30 % as in
# the handbook; it differs a little between species).
SATURATION_PCT = 30
# How single pieces differ from the average of their species (the handbook's
# coefficient of variation of the specific gravity).
GRAVITY_VARIES_BY = 0.1
# Wetter than this is no wood (the lightest species, green; from memory).
WETTEST_PCT = 300
_WATER_KG_M3 = 1000


@dataclass(frozen=True, slots=True)
class DensityRange:
    """Between which densities the wood of a species lies, in kg/m³."""

    least: float
    mean: float
    most: float


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
    must_be_above_0(
        mass_g=mass_g,
        length_mm=length_mm,
        width_mm=width_mm,
        thickness_mm=thickness_mm,
    )
    return mass_g / (length_mm * width_mm * thickness_mm) * 1e6


def gravity_at(gravity_green: float, moisture_pct: float) -> float:
    """Say the specific gravity of a species by its volume at a moisture content.

    Parameters
    ----------
    gravity_green : float
        Basic specific gravity: oven-dry mass, green volume; above 0 to 1.2.
    moisture_pct : float
        Moisture content in percent, from 0 to 300.

    Returns
    -------
    float
        Oven-dry mass over the mass of water of the volume at that moisture.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    Simpson (1993), FPL-GTR-76; the relation from memory.

    Examples
    --------
    >>> round(gravity_at(0.56, 8), 3)
    0.628
    """
    must_lie("gravity_green", gravity_green, 1e-6, 1.2)
    must_lie("moisture_pct", moisture_pct, 0, WETTEST_PCT)
    share = max(0.0, (SATURATION_PCT - moisture_pct) / SATURATION_PCT)
    return gravity_green / (1 - 0.265 * share * gravity_green)


def density_at_kg_m3(gravity: float, moisture_pct: float) -> float:
    """Say the density of wood with its water, by its specific gravity.

    Parameters
    ----------
    gravity : float
        Specific gravity by the volume at that same moisture, above 0.
    moisture_pct : float
        Moisture content in percent, from 0 to 300.

    Returns
    -------
    float
        Density in kilograms per cubic metre.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    USDA Wood Handbook, FPL-GTR-190 (2010), chapter 4: ρ = 1000 G (1 + M / 100).

    Examples
    --------
    >>> density_at_kg_m3(0.40, 12)
    448.0
    """
    must_be_above_0(gravity=gravity)
    must_lie("moisture_pct", moisture_pct, 0, WETTEST_PCT)
    return _WATER_KG_M3 * gravity * (100 + moisture_pct) / 100


def density_range_kg_m3(
    gravity_at_12_pct: float,
    driest_pct: float = 6,
    wettest_pct: float = 20,
    deviations: float = 3,
) -> DensityRange:
    """Say between which densities a piece of a species may be expected to lie.

    Parameters
    ----------
    gravity_at_12_pct : float
        The species' average specific gravity by volume at 12 % moisture, above 0.
    driest_pct, wettest_pct : float
        Between which moistures the wood is, in percent; the first not above the other.
    deviations : float
        So many standard deviations to either side, from 0 to below 10.

    Returns
    -------
    DensityRange
        The least and the most, and the mean in the middle of the moistures, in kg/m³.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    Notes
    -----
    Single pieces differ from the average with a coefficient of variation of 10 %; the
    little that the wood swells between the two moistures is left out. Three deviations
    hold all but about 3 in 1,000 pieces of a normal spread.

    References
    ----------
    USDA Wood Handbook, FPL-GTR-190 (2010), chapters 4 and 5.

    Examples
    --------
    >>> found = density_range_kg_m3(0.60)
    >>> round(found.least), round(found.most)
    (445, 936)
    """
    must_be_above_0(gravity_at_12_pct=gravity_at_12_pct)
    must_lie("driest_pct", driest_pct, 0, wettest_pct)
    must_lie("deviations", deviations, 0, 9.99)
    reach = deviations * GRAVITY_VARIES_BY
    return DensityRange(
        density_at_kg_m3(gravity_at_12_pct, driest_pct) * (1 - reach),
        density_at_kg_m3(gravity_at_12_pct, (driest_pct + wettest_pct) / 2),
        density_at_kg_m3(gravity_at_12_pct, wettest_pct) * (1 + reach),
    )


def body_mass_g(density_kg_m3: float, volume_cm3: float) -> float:
    """Say what a body weighs once it is cut out of wood of a density.

    Parameters
    ----------
    density_kg_m3 : float
        Density of the set, in kilograms per cubic metre, above 0.
    volume_cm3 : float
        What is left of the wood in the finished body, in cubic centimetres, above 0.

    Returns
    -------
    float
        Mass of the wood in grams, at the moisture of the weighing; no finish, no parts.

    Raises
    ------
    ValueError
        If a number is not above 0 and finite.

    References
    ----------
    ISO 80000-4:2019, item 4-2 (mass density), from memory.

    Examples
    --------
    >>> body_mass_g(500, 4000)
    2000.0
    """
    must_be_above_0(density_kg_m3=density_kg_m3, volume_cm3=volume_cm3)
    return density_kg_m3 * volume_cm3 / 1000
