"""Did what was forecast come true as often as it was said?"""

from collections.abc import Sequence

from travelers.formulas.drying.fits import DayRange
from travelers.formulas.shares import Share, share


def calibration(forecasts: Sequence[DayRange], outcomes: Sequence[float]) -> Share:
    """Count the intervals that held the day on which it came true.

    Parameters
    ----------
    forecasts : sequence of DayRange
        What was said, all with one confidence.
    outcomes : sequence of float
        The days on which it came true, as the forecasts count days.

    Returns
    -------
    Share
        With the 95 % score interval for the share.

    Raises
    ------
    ValueError
        If there is no forecast, or not one outcome for each.

    References
    ----------
    Wilson (1927), J. Am. Stat. Assoc. 22:209-212; formula from memory, checked against
    scipy in the tests.

    Examples
    --------
    >>> said = [DayRange(10, 8, 12, 0.8)] * 10
    >>> round(calibration(said, [9, 10, 11, 8.5, 12, 9, 10, 11, 7, 13]).share, 2)
    0.8
    """
    if not forecasts or len(forecasts) != len(outcomes):
        raise ValueError(
            f"outcomes must be one for each forecast, got {len(outcomes)} "
            f"for {len(forecasts)}"
        )
    held = sum(
        said.earliest <= came <= said.latest
        for said, came in zip(forecasts, outcomes, strict=True)
    )
    return share(held, len(outcomes), len(outcomes))
