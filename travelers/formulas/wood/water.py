"""How much water is in wood, by an oven or by a meter?"""

from collections.abc import Sequence
from itertools import pairwise

from travelers.formulas.wood.given import must_be_above_0, must_lie


def oven_dry_moisture_pct(wet_mass_g: float, dry_mass_g: float) -> float:
    """Say the moisture content of a sample that was weighed, oven-dried and weighed.

    Parameters
    ----------
    wet_mass_g : float
        Mass of the sample as it was cut, in grams.
    dry_mass_g : float
        Its constant mass after drying at 103 ± 2 °C, in grams, above 0.

    Returns
    -------
    float
        Moisture content in percent of the oven-dry mass.

    Raises
    ------
    ValueError
        If a mass is not above 0 and finite, or the dry one above the wet one.

    References
    ----------
    ASTM D4442, direct moisture content by oven drying (the definition, from secondary
    sources; the temperature from memory).

    Examples
    --------
    >>> oven_dry_moisture_pct(120.0, 100.0)
    20.0
    """
    must_be_above_0(wet_mass_g=wet_mass_g, dry_mass_g=dry_mass_g)
    if dry_mass_g > wet_mass_g:
        raise ValueError(
            f"dry_mass_g must not be above wet_mass_g = {wet_mass_g!r}, "
            f"got {dry_mass_g!r}"
        )
    return (wet_mass_g - dry_mass_g) / dry_mass_g * 100


def metered_moisture_pct(
    meter_pct: float,
    wood_c: float | None = None,
    corrections: Sequence[tuple[float, float]] = (),
) -> float:
    """Say the moisture of wood from what a pin meter shows.

    Parameters
    ----------
    meter_pct : float
        What the meter shows, in percent, from 0 to 100.
    wood_c : float or None
        Temperature of the wood in °C, from -20 to 90; None where the meter has
        reckoned with it already.
    corrections : sequence of (float, float)
        For the species: what the meter shows, and what is to be added there, both in
        percent, growing in the first. Between them a straight line, beyond them the
        last one.

    Returns
    -------
    float
        Moisture content in percent, not below 0.

    Raises
    ------
    ValueError
        If a number is out of its range, or the corrections are not in order.

    Notes
    -----
    Half a point less for each 5 °C that the wood is warmer than 20 °C: a rule of thumb
    of one maker of meters, not a calibration. A sample dried in an oven decides.

    References
    ----------
    Manual of a hand-held pin meter (TDX MT1902), its note on temperature.

    Examples
    --------
    >>> metered_moisture_pct(9.0, wood_c=40)
    7.0
    >>> metered_moisture_pct(9.0, corrections=[(8.0, 0.2), (10.0, 0.6)])
    9.4
    """
    must_lie("meter_pct", meter_pct, 0, 100)
    moisture = meter_pct + _between(meter_pct, corrections)
    if wood_c is not None:
        must_lie("wood_c", wood_c, -20, 90)
        moisture -= (wood_c - 20) * 0.1
    return max(0.0, moisture)


def _between(value: float, points: Sequence[tuple[float, float]]) -> float:
    """Read a table of (value, added) between its rows."""
    if not points:
        return 0.0
    shown = [at for at, _ in points]
    if any(first >= second for first, second in pairwise(shown)):
        raise ValueError(f"corrections must grow in what the meter shows, got {shown}")
    if value <= shown[0]:
        return points[0][1]
    for (low, at_low), (high, at_high) in pairwise(points):
        if value <= high:
            return at_low + (at_high - at_low) * (value - low) / (high - low)
    return points[-1][1]
