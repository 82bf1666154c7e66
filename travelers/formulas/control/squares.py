"""How much of a crossed study's variation comes from where?"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from travelers.formulas.control.charts import as_row

# Parts, persons and trials: with fewer than two of a kind nothing is learned of it.
FEWEST = 2


@dataclass(frozen=True, slots=True)
class Source:
    """A row of the analysis of variance; ``f`` and ``p`` where it is tested."""

    squares: float
    degrees: int
    mean_square: float
    f: float | None
    p: float | None


def as_study(values: Sequence[Sequence[Sequence[float]]]) -> Any:
    """Make a table of parts by persons by trials; refuse what is not balanced."""
    import numpy as np

    rows = [
        [
            as_row(f"values[{part}][{person}]", trials, FEWEST)
            for person, trials in enumerate(persons)
        ]
        for part, persons in enumerate(values)
    ]
    if len(rows) < FEWEST:
        raise ValueError(f"values must hold at least {FEWEST} parts, got {len(rows)}")
    persons = sorted({len(row) for row in rows})
    if persons[0] < FEWEST or len(persons) > 1:
        raise ValueError(
            f"values must hold the same persons for each part, and at least {FEWEST}, "
            f"got {' or '.join(map(str, persons))}"
        )
    trials = sorted({len(cell) for row in rows for cell in row})
    if len(trials) > 1:
        raise ValueError(
            "values must hold as many trials for each part and person, got "
            f"{' or '.join(map(str, trials))}"
        )
    return np.array(rows)


@dataclass(frozen=True, slots=True)
class Squares:
    """Sums of squares of a crossed study."""

    part: float
    person: float
    interaction: float
    repeatability: float


@dataclass(frozen=True, slots=True)
class Degrees:
    """Degrees of freedom of a crossed study."""

    part: int
    person: int
    interaction: int
    repeatability: int


def part_squares(readings: Any) -> tuple[Squares, Degrees]:
    """Part the squares by part, person, their interaction and repeatability."""
    import numpy as np

    parts, persons, trials = readings.shape
    about = readings - readings.mean()
    cells = about.mean(axis=2, keepdims=True)
    by_part = cells.mean(axis=1, keepdims=True)
    by_person = cells.mean(axis=0, keepdims=True)
    # What is left of equal readings by rounding alone is none.
    least = readings.size * (8 * np.spacing(np.abs(readings).max())) ** 2

    def squares(effect: Any) -> float:
        total = float((np.broadcast_to(effect, readings.shape) ** 2).sum())
        return total if total > least else 0.0

    found = Squares(
        part=squares(by_part),
        person=squares(by_person),
        interaction=squares(cells - by_part - by_person),
        repeatability=squares(about - cells),
    )
    if not (found.part + found.person + found.interaction + found.repeatability) > 0:
        raise ValueError(f"values must not all be equal, got {readings.flat[0]:g}")
    return found, Degrees(
        part=parts - 1,
        person=persons - 1,
        interaction=(parts - 1) * (persons - 1),
        repeatability=parts * persons * (trials - 1),
    )


def source_of(squares: float, degrees: int, against: Source | None = None) -> Source:
    """Make a row of the analysis, tested against another where one is given."""
    from scipy.special import fdtrc

    mean_square = squares / degrees
    if against is None:
        return Source(squares, degrees, mean_square, None, None)
    if against.mean_square > 0:
        f = mean_square / against.mean_square
    else:
        f = math.inf if mean_square > 0 else 0.0
    p = float(fdtrc(degrees, against.degrees, f)) if math.isfinite(f) else 0.0
    return Source(squares, degrees, mean_square, f, p)
