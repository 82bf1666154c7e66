"""How dry does air make wood?"""

from collections.abc import Callable
from typing import Any

from travelers.formulas.wood.given import must_lie

# The air that the equation of the equilibrium moisture was fitted for, with a margin.
COLDEST_C, HOTTEST_C = -40, 130


def equilibrium_moisture_pct(
    temperature_c: float, relative_humidity_pct: float
) -> float:
    """Say to which moisture wood comes in air that stays as it is.

    Parameters
    ----------
    temperature_c : float
        Temperature of the air in °C, from -40 to 130.
    relative_humidity_pct : float
        Relative humidity in percent, from 0 to 100.

    Returns
    -------
    float
        Equilibrium moisture content, in percent of oven-dry mass.

    Raises
    ------
    ValueError
        If a number is out of its range or not finite.

    Notes
    -----
    Hailwood and Horrobin's model with two hydrates; all woods alike, within about one
    point. Wood that gains moisture stays a little below it, wood that dries above.

    References
    ----------
    USDA Wood Handbook, FPL-GTR-190 (2010), eq. 4-5; constants for °C by Simpson (1998),
    Research Note FPL-RN-0268.

    Examples
    --------
    The handbook's table 4-2 prints 11.0 % for 70 °F (21.1 °C) and 60 %.

    >>> round(equilibrium_moisture_pct(21.1, 60), 1)
    11.0
    """
    must_lie("temperature_c", temperature_c, COLDEST_C, HOTTEST_C)
    must_lie("relative_humidity_pct", relative_humidity_pct, 0, 100)
    return float(_equilibrium_pct(temperature_c, relative_humidity_pct / 100))


def equilibrium_moistures_pct(temperatures_c: Any, relative_humidities_pct: Any) -> Any:
    """Say the same for many moments at once.

    Parameters
    ----------
    temperatures_c, relative_humidities_pct : array_like of float, one shape
        As for :func:`equilibrium_moisture_pct`; not checked one by one.

    Returns
    -------
    numpy.ndarray of float
        Equilibrium moisture contents in percent, in the given shape.

    Raises
    ------
    ValueError
        If any number is out of its range or not finite.

    References
    ----------
    As for :func:`equilibrium_moisture_pct`.

    Examples
    --------
    >>> equilibrium_moistures_pct([21.1, 60.0], [60, 50]).round(1).tolist()
    [11.0, 7.7]
    """
    # Only charts and forecasts need it; a page is served without.
    import numpy as np

    temperature = np.asarray(temperatures_c, dtype=float)
    humidity = np.asarray(relative_humidities_pct, dtype=float)
    for name, values, least, most in (
        ("temperatures_c", temperature, COLDEST_C, HOTTEST_C),
        ("relative_humidities_pct", humidity, 0, 100),
    ):
        if not bool(np.all((values >= least) & (values <= most))):
            raise ValueError(f"{name} must all lie from {least} to {most}")
    return _equilibrium_pct(temperature, humidity / 100)


def relative_humidity_pct(moisture_pct: float, temperature_c: float) -> float:
    """Say in which air wood comes to a moisture, at a temperature.

    Parameters
    ----------
    moisture_pct : float
        Equilibrium moisture content in percent, from 0 to that of damp air.
    temperature_c : float
        Temperature of the air in °C, from -40 to 130.

    Returns
    -------
    float
        Relative humidity in percent.

    Raises
    ------
    ValueError
        If no air of this temperature brings wood to that moisture.

    References
    ----------
    The inverse of :func:`equilibrium_moisture_pct`, found by halving.

    Examples
    --------
    >>> round(relative_humidity_pct(6.0, 40), 1)
    31.9
    """
    most = equilibrium_moisture_pct(temperature_c, 100)
    must_lie("moisture_pct", moisture_pct, 0, most)
    return _halve(
        lambda humidity: (
            equilibrium_moisture_pct(temperature_c, humidity) - moisture_pct
        ),
        0.0,
        100.0,
    )


def temperature_c_for(moisture_pct: float, relative_humidity_pct: float) -> float:
    """Say how warm air of a humidity must be for wood to come to a moisture.

    The humidity is taken as it is: a closed room that is heated becomes drier besides.

    Parameters
    ----------
    moisture_pct : float
        Equilibrium moisture content in percent.
    relative_humidity_pct : float
        Relative humidity in percent, above 0 to 100.

    Returns
    -------
    float
        Temperature of the air in °C, from 10 to 100.

    Raises
    ------
    ValueError
        If no air from 10 to 100 °C of this humidity brings wood to that moisture.

    Notes
    -----
    Below about 8 °C colder air makes the wood drier, and the answer is not one alone.

    References
    ----------
    The inverse of :func:`equilibrium_moisture_pct`, found by halving.

    Examples
    --------
    >>> round(temperature_c_for(6.0, 35), 1)
    52.3
    """
    wettest = equilibrium_moisture_pct(10, relative_humidity_pct)
    driest = equilibrium_moisture_pct(100, relative_humidity_pct)
    must_lie("moisture_pct", moisture_pct, driest, wettest)
    return _halve(
        lambda warm: (
            moisture_pct - equilibrium_moisture_pct(warm, relative_humidity_pct)
        ),
        10.0,
        100.0,
    )


def _equilibrium_pct(t: Any, h: Any) -> Any:
    """Say it of numbers or arrays: ``t`` in °C, ``h`` as a fraction."""
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


def _halve(grows: Callable[[float], float], low: float, high: float) -> float:
    """Find where a growing function is 0, to the last digit that matters."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if grows(middle) > 0 else (middle, high)
    return (low + high) / 2
