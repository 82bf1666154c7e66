"""What does a gauge read, with the spread and drift of a working shop?"""

from collections import Counter
from decimal import Decimal
from random import Random

from travelers.routes.rules import Check, CheckKind

# Of the way from the middle to the nearer limit.  Chosen so that the charts show
# something; no source, the demo's own.
SPREAD_OF_PART = 0.22
SPREAD_OF_PLACE = 0.16
# A tool wears from one side of the middle to the other, then it is changed.
WEARS: dict[str, tuple[float, float, int]] = {
    # code: (share at the start, share at the end, parts until it is changed)
    "BODY_POCKET_W": (0.35, -0.55, 38),
    "BODY_POCKET_D": (-0.20, 0.40, 38),
    "BODY_EDGE_R": (-0.30, 0.45, 60),
    "NECK_HEEL_W": (-0.35, 0.50, 44),
    "NECK_GROOVE_D": (-0.25, 0.35, 44),
    "NECK_SLOT_W": (0.30, -0.60, 52),
    "NECK_SLOT_D": (0.20, -0.45, 52),
}
# A change that nobody announced: from this part on the middle lies elsewhere.
SHIFTS: dict[str, tuple[int, float]] = {
    "BODY_FILM": (26, 0.55),
    "NUT_H": (14, -0.40),
    "NECK_MOIST": (70, 0.35),
}
LARGEST = 0.97
# Pieces of one plank weigh alike to within this share.
LIKE_ITS_PLANK = 0.05


class Readings:
    """What was measured so far, and what the next part will read."""

    def __init__(self, chance: Random) -> None:
        self._chance = chance
        self._parts: Counter[str] = Counter()

    def of(self, check: Check, middle: float | None = None) -> list[Decimal]:
        """Give a value for each place, all inside the limits."""
        number = self._parts[check.code]
        self._parts[check.code] += 1
        if check.kind is not CheckKind.MEASURED:
            return [self._counted(check) for _ in range(check.places)]
        center, reach = span_of(check)
        if middle is not None:
            center, reach = middle, LIKE_ITS_PLANK * middle
        of_part = drift(check.code, number) + self._chance.gauss(0, SPREAD_OF_PART)
        return [
            inside(check, center + reach * _kept(of_part + self._noise()))
            for _ in range(check.places)
        ]

    def outside(self, check: Check, values: list[Decimal]) -> list[Decimal]:
        """Give the same values but for one place, which is out of tolerance."""
        place = self._chance.randrange(len(values))
        return [
            self._beyond(check) if at == place else value
            for at, value in enumerate(values)
        ]

    def _beyond(self, check: Check) -> Decimal:
        if check.kind is CheckKind.JUDGED:
            return Decimal(0)
        step = Decimal(1).scaleb(-check.decimals)
        far = step * self._chance.randint(1, 3)
        if check.upper is not None and (
            check.lower is None or self._chance.random() < 0.6
        ):
            return rounded(check, check.upper + far)
        return rounded(check, (check.lower or Decimal(0)) - far)

    def _counted(self, check: Check) -> Decimal:
        if check.kind is CheckKind.JUDGED:
            return Decimal(1)
        return Decimal(min(int(check.upper or 0), self._chance.choice((0, 0, 0, 1, 2))))

    def _noise(self) -> float:
        return self._chance.gauss(0, SPREAD_OF_PLACE)


def span_of(check: Check) -> tuple[float, float]:
    """Say where values lie, and how far from there the nearer limit is."""
    lower = None if check.lower is None else float(check.lower)
    upper = None if check.upper is None else float(check.upper)
    if lower is None:
        return 0.5 * (upper or 0), 0.5 * (upper or 0)
    if upper is None:
        nominal = float(check.nominal or lower)
        return nominal, nominal - lower
    center = (lower + upper) / 2 if check.nominal is None else float(check.nominal)
    return center, min(upper - center, center - lower)


def drift(code: str, number: int) -> float:
    """Say where the middle lies for the ``number``-th part, in shares of the reach."""
    if code in WEARS:
        fresh, worn, life = WEARS[code]
        return fresh + (worn - fresh) * (number % life) / life
    if code in SHIFTS:
        since, by = SHIFTS[code]
        return by if number >= since else 0.0
    return 0.0


def _kept(share: float) -> float:
    return max(-LARGEST, min(LARGEST, share))


def inside(check: Check, value: float) -> Decimal:
    """Write a value as the check is read, and never beyond a limit by rounding."""
    read = rounded(check, Decimal(str(value)))
    if check.lower is not None:
        read = max(read, rounded(check, check.lower))
    if check.upper is not None:
        read = min(read, rounded(check, check.upper))
    return read


def rounded(check: Check, value: Decimal) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-check.decimals))
