"""Can this gauge tell these parts apart, whoever measures?"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from travelers.formulas.control.squares import Source, as_study, part_squares, source_of

# A study counts six standard deviations wide, and a category 1.41 of the gauge's.
STUDY_WIDTH = 6.0
_CATEGORY = 1.41


@dataclass(frozen=True, slots=True)
class Parted:
    """A quantity of each part of the variation.

    ``reproducibility`` is of person and interaction together, ``gauge`` of that and
    repeatability, ``total`` of the gauge and the parts.
    """

    repeatability: float
    person: float
    interaction: float
    reproducibility: float
    gauge: float
    part: float
    total: float

    def each(self, of: Callable[[float], float]) -> "Parted":
        """Make another quantity of each."""
        return Parted(
            repeatability=of(self.repeatability),
            person=of(self.person),
            interaction=of(self.interaction),
            reproducibility=of(self.reproducibility),
            gauge=of(self.gauge),
            part=of(self.part),
            total=of(self.total),
        )


@dataclass(frozen=True, slots=True)
class GaugeStudy:
    """What a crossed study tells of a gauge.

    The interaction is tested against ``repeatability``. Where it is ``pooled`` it was
    counted as repeatability, and ``error`` is the row of both; else it is that of
    repeatability. Part and person are tested against the interaction, or against the
    error where it was pooled.
    """

    part: Source
    person: Source
    interaction: Source
    repeatability: Source
    error: Source
    pooled: bool
    variances: Parted
    tolerance: float | None

    @property
    def deviations(self) -> Parted:
        """Give the standard deviation of each part of the variation."""
        return self.variances.each(math.sqrt)

    @property
    def contribution_pct(self) -> Parted:
        """Give the variances in percent of the total."""
        return self.variances.each(lambda one: 100 * one / self.variances.total)

    @property
    def study_pct(self) -> Parted:
        """Give the standard deviations in percent of the total; they do not add up."""
        total = math.sqrt(self.variances.total)
        return self.deviations.each(lambda one: 100 * one / total)

    @property
    def tolerance_pct(self) -> Parted | None:
        """Give six standard deviations in percent of the tolerance, if there is one."""
        if self.tolerance is None:
            return None
        width = 100 * STUDY_WIDTH / self.tolerance
        return self.deviations.each(lambda one: width * one)

    @property
    def categories(self) -> float:
        """Say how many gauge's widths the parts' spread holds, before it is cut."""
        gauge = math.sqrt(self.variances.gauge)
        part = math.sqrt(self.variances.part)
        return _CATEGORY * part / gauge if gauge > 0 else math.inf

    @property
    def distinct_categories(self) -> int | None:
        """Say how many kinds of parts the gauge can tell apart.

        None where all readings of each part are equal: then the gauge is finer than
        this study can tell, or its steps are too coarse to show any difference.
        """
        return int(self.categories) if math.isfinite(self.categories) else None


def crossed_study(
    values: Sequence[Sequence[Sequence[float]]],
    *,
    tolerance: float | None = None,
    pool_above: float = 0.05,
) -> GaugeStudy:
    """Study a gauge by the analysis of variance: each person measures each part.

    Parameters
    ----------
    values : sequence of sequence of sequence of float
        ``values[part][person][trial]``; two parts, persons and trials at least, and as
        many trials of each part by each person.
    tolerance : float, optional
        The width of the tolerance that the gauge judges, above 0.
    pool_above : float
        From 0 to 1: where the interaction's p-value lies above, the interaction is
        counted as repeatability.

    Returns
    -------
    GaugeStudy
        Variances that come out below nought are nought.

    Raises
    ------
    ValueError
        If the study is not crossed and balanced, too small, a value is not finite, all
        values are equal, or a number is out of its range.

    References
    ----------
    AIAG, Measurement Systems Analysis (4th edition), the ANOVA method: two-way random
    effects with interaction, as quoted in public; the number of distinct categories is
    1.41 times the parts' deviation by the gauge's, cut to a whole number.

    Examples
    --------
    >>> nuts = [[[2.0, 2.1], [2.1, 2.1]], [[3.0, 2.9], [3.1, 3.0]]]
    >>> study = crossed_study([*nuts, [[4.1, 4.0], [4.0, 4.2]]], tolerance=4.0)
    >>> round(study.study_pct.gauge, 1), round(study.tolerance_pct.gauge, 1)
    (8.1, 12.2)
    >>> study.pooled, study.distinct_categories
    (True, 17)
    """
    if tolerance is not None and not (tolerance > 0 and math.isfinite(tolerance)):
        raise ValueError(f"tolerance must be above 0 and finite, got {tolerance!r}")
    if not 0 <= pool_above <= 1:
        raise ValueError(f"pool_above must lie from 0 to 1, got {pool_above!r}")
    readings = as_study(values)
    squares, degrees = part_squares(readings)
    repeatability = source_of(squares.repeatability, degrees.repeatability)
    interaction = source_of(squares.interaction, degrees.interaction, repeatability)
    pooled = interaction.p is not None and interaction.p > pool_above
    error, common = repeatability, interaction
    if pooled:
        error = common = source_of(
            interaction.squares + repeatability.squares,
            interaction.degrees + repeatability.degrees,
        )
    part = source_of(squares.part, degrees.part, common)
    person = source_of(squares.person, degrees.person, common)
    return GaugeStudy(
        part=part,
        person=person,
        interaction=interaction,
        repeatability=repeatability,
        error=error,
        pooled=pooled,
        variances=_components(readings.shape, part, person, common, error),
        tolerance=tolerance,
    )


def _components(
    shape: tuple[int, int, int],
    part: Source,
    person: Source,
    common: Source,
    error: Source,
) -> Parted:
    """Solve the expected mean squares for the variances; below nought is nought.

    ``common`` is what parts and persons have in them beside their own: the interaction,
    or the error where that was pooled.
    """
    parts, persons, trials = shape

    def beside(source: Source, other: Source, count: int) -> float:
        return max(0.0, (source.mean_square - other.mean_square) / count)

    repeatability = error.mean_square
    interaction = beside(common, error, trials)
    of_person = beside(person, common, parts * trials)
    of_part = beside(part, common, persons * trials)
    gauge = repeatability + of_person + interaction
    return Parted(
        repeatability=repeatability,
        person=of_person,
        interaction=interaction,
        reproducibility=of_person + interaction,
        gauge=gauge,
        part=of_part,
        total=gauge + of_part,
    )
