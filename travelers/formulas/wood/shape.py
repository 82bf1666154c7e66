"""How much does wood shrink and swell with its moisture?"""

from travelers.formulas.wood.given import must_be_above_0, must_lie
from travelers.formulas.wood.mass import SATURATION_PCT

# The coefficients were fitted to moistures that wood has indoors.
COEFFICIENT_DRIEST_PCT, COEFFICIENT_WETTEST_PCT = 6, 14


def dimension_change_mm(
    dimension_mm: float, from_pct: float, to_pct: float, coefficient: float
) -> float:
    """Say by how much a size changes when the moisture of the wood does.

    Parameters
    ----------
    dimension_mm : float
        Size at the first moisture, in millimetres, above 0.
    from_pct, to_pct : float
        Moisture contents in percent, from 0 to 30.
    coefficient : float
        Dimensional change coefficient of the species for this direction: the share of
        the size for each percentage point, from 0 to 0.01.

    Returns
    -------
    float
        Change in millimetres; below 0 where the wood shrinks.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    Notes
    -----
    Along the grain wood hardly moves. The coefficients hold from 6 to 14 % moisture;
    beyond it the result is an estimate (see :func:`shrinkage_change_mm`).

    References
    ----------
    USDA Wood Handbook, FPL-GTR-190 (2010), eq. 13-2 and table 13-5.

    Examples
    --------
    The handbook's white fir: flat-grained, 232 mm wide, from 8 to 11 %.

    >>> round(dimension_change_mm(232, 8, 11, 0.00245), 3)
    1.705
    """
    must_be_above_0(dimension_mm=dimension_mm)
    must_lie("from_pct", from_pct, 0, SATURATION_PCT)
    must_lie("to_pct", to_pct, 0, SATURATION_PCT)
    must_lie("coefficient", coefficient, 0, 0.01)
    return dimension_mm * coefficient * (to_pct - from_pct)


def shrinkage_change_mm(
    dimension_mm: float, from_pct: float, to_pct: float, shrinkage_pct: float
) -> float:
    """Say the same where the species has no coefficient, or the wood is still wet.

    Parameters
    ----------
    dimension_mm : float
        Size at the first moisture, in millimetres, above 0.
    from_pct, to_pct : float
        Moisture contents in percent, from 0 to 30; wetter wood keeps its green size.
    shrinkage_pct : float
        Shrinkage of the species from green to oven-dry in this direction, in percent
        of the green size, above 0 to 20.

    Returns
    -------
    float
        Change in millimetres; below 0 where the wood shrinks.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    USDA Wood Handbook, FPL-GTR-190 (2010), eq. 13-3, with tables 4-3 and 4-4.

    Examples
    --------
    Sugar maple, flat-grained (9.9 %), 100 mm wide when green, oven-dried:

    >>> round(shrinkage_change_mm(100, 30, 0, 9.9), 6)
    -9.9
    """
    must_be_above_0(dimension_mm=dimension_mm)
    must_lie("from_pct", from_pct, 0, SATURATION_PCT)
    must_lie("to_pct", to_pct, 0, SATURATION_PCT)
    must_lie("shrinkage_pct", shrinkage_pct, 1e-6, 20)
    span = SATURATION_PCT * 100 / shrinkage_pct - SATURATION_PCT + from_pct
    return dimension_mm * (to_pct - from_pct) / span
