"""How does the moisture of wood come near that of the air around it?"""

import math

BOILING_C = 100


def moisture_after_pct(
    from_pct: float, equilibrium_pct: float, rate_per_day: float, days: float
) -> float:
    """Say the moisture after some days in air that stays as it is.

    Parameters
    ----------
    from_pct, equilibrium_pct : float
        Moisture now and at the end, in percent of oven-dry mass, from 0.
    rate_per_day : float
        The share of what is left that goes in a day, at first; above 0.
    days : float
        Time in days, from 0.

    Returns
    -------
    float
        Moisture in percent.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    First-order approach, (M - E)/(M0 - E) = exp(-k t), as in Simpson and Tschernitz
    (1979), Wood Science 11(4):202-208, for northern red oak.

    Examples
    --------
    >>> round(moisture_after_pct(30, 7, 0.12, 10), 2)
    13.93
    """
    _must_be("from_pct", from_pct, 0)
    _must_be("equilibrium_pct", equilibrium_pct, 0)
    _must_be("rate_per_day", rate_per_day, 0, open_below=True)
    _must_be("days", days, 0)
    return equilibrium_pct + (from_pct - equilibrium_pct) * math.exp(
        -rate_per_day * days
    )


def days_until_below(
    limit_pct: float, from_pct: float, equilibrium_pct: float, rate_per_day: float
) -> float | None:
    """Say how long wood dries until it comes to a limit; None if it never does.

    Parameters
    ----------
    limit_pct, from_pct, equilibrium_pct : float
        Moistures in percent of oven-dry mass, from 0.
    rate_per_day : float
        As for :func:`moisture_after_pct`.

    Returns
    -------
    float or None
        Time in days, 0 where it is at the limit already; None where the air's
        equilibrium is not below the limit.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    As for :func:`moisture_after_pct`, solved for the time.

    Examples
    --------
    >>> round(days_until_below(6, 12, 5, 0.05), 1)
    38.9
    >>> days_until_below(6, 12, 6.5, 0.05) is None
    True
    """
    _must_be("limit_pct", limit_pct, 0)
    _must_be("from_pct", from_pct, 0)
    _must_be("equilibrium_pct", equilibrium_pct, 0)
    _must_be("rate_per_day", rate_per_day, 0, open_below=True)
    if from_pct <= limit_pct:
        return 0.0
    if equilibrium_pct >= limit_pct:
        return None
    left = (limit_pct - equilibrium_pct) / (from_pct - equilibrium_pct)
    return -math.log(left) / rate_per_day


def days_until_above(
    limit_pct: float, from_pct: float, equilibrium_pct: float, rate_per_day: float
) -> float | None:
    """Say how long dry wood may lie in damper air until it comes to a limit again.

    Parameters
    ----------
    limit_pct, from_pct, equilibrium_pct : float
        Moistures in percent of oven-dry mass, from 0.
    rate_per_day : float
        As for :func:`moisture_after_pct`.

    Returns
    -------
    float or None
        Time in days, 0 where it is at the limit already; None where the air is not
        damp enough to bring it there.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    As for :func:`moisture_after_pct`, solved for the time.

    Examples
    --------
    >>> round(days_until_above(7, 5.5, 9, 0.03), 1)
    18.7
    """
    _must_be("limit_pct", limit_pct, 0)
    _must_be("from_pct", from_pct, 0)
    _must_be("equilibrium_pct", equilibrium_pct, 0)
    _must_be("rate_per_day", rate_per_day, 0, open_below=True)
    if from_pct >= limit_pct:
        return 0.0
    if equilibrium_pct <= limit_pct:
        return None
    left = (equilibrium_pct - limit_pct) / (equilibrium_pct - from_pct)
    return -math.log(left) / rate_per_day


def oak_rate_per_day(thickness_mm: float, temperature_c: float) -> float:
    """Say how fast northern red oak comes near the moisture of its air.

    For other woods it is a first guess, until their own readings tell better.

    Parameters
    ----------
    thickness_mm : float
        Thickness in millimetres, above 0.
    temperature_c : float
        Temperature of the air in °C, from 0 to 100.

    Returns
    -------
    float
        The share of what is left that goes in a day, at first.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    References
    ----------
    Simpson and Tschernitz (1979), Wood Science 11(4):202-208, as summarised in public:
    τ = L^1.52 / (0.0575 + 0.00142 p), L in inches, p the saturated vapour pressure in
    mmHg by the Antoine equation of water.

    Examples
    --------
    One inch at 150 °F (65.6 °C) has τ = 3.03 days.

    >>> round(1 / oak_rate_per_day(25.4, 65.56), 2)
    3.03
    """
    _must_be("thickness_mm", thickness_mm, 0, open_below=True)
    _must_be("temperature_c", temperature_c, 0)
    if temperature_c > BOILING_C:
        raise ValueError(f"temperature_c must be at most 100, got {temperature_c!r}")
    pressure_mmhg = 10 ** (8.07131 - 1730.63 / (233.426 + temperature_c))
    inches = thickness_mm / 25.4
    return float((0.0575 + 0.00142 * pressure_mmhg) / inches**1.52)


def _must_be(
    name: str, value: float, least: float, *, open_below: bool = False
) -> None:
    enough = value > least if open_below else value >= least
    if not (enough and math.isfinite(value)):
        word = "above" if open_below else "at least"
        raise ValueError(f"{name} must be {word} {least:g} and finite, got {value!r}")
