"""Which share held, and between which shares may the true one lie?"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Share:
    """How many of so many forecasts held, and between which shares that may lie."""

    held: int
    of: int
    least: float
    most: float

    @property
    def share(self) -> float:
        """Say how many held, as a share of all."""
        return self.held / self.of

    @property
    def share_pct(self) -> float:
        """Give the share in percent."""
        return self.share * 100

    @property
    def least_pct(self) -> float:
        """Give the least share in percent."""
        return self.least * 100

    @property
    def most_pct(self) -> float:
        """Give the largest share in percent."""
        return self.most * 100


def share(held: int, of: int, apart: int) -> Share:
    """Say which share of days held, and between which shares it may lie.

    Parameters
    ----------
    held, of : int
        How many of how many; at least one.
    apart : int
        Of how many things they are, at least one: several days that were said of one
        thing hold or fail together, and count as one for how sure the share is.

    Returns
    -------
    Share
        With the 95 % score interval.

    References
    ----------
    Wilson (1927), J. Am. Stat. Assoc. 22:209-212; formula from memory, checked against
    scipy in the tests.

    Examples
    --------
    >>> found = share(8, 10, 10)
    >>> round(found.least, 3), round(found.most, 3)
    (0.49, 0.943)
    """
    if not (0 <= held <= of and of >= 1 and apart >= 1):
        raise ValueError(f"held must be of some, got {held!r} of {of!r} and {apart!r}")
    whole, z = held / of, 1.959963984540054
    n = min(of, apart)
    middle = (whole + z * z / (2 * n)) / (1 + z * z / n)
    half = z / (1 + z * z / n) * (whole * (1 - whole) / n + z * z / (4 * n * n)) ** 0.5
    return Share(held, of, middle - half, middle + half)
