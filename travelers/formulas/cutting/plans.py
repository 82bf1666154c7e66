"""Which way of sawing a plank gives the most whole sets?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from travelers.formulas.cutting.layouts import Laid, lay_out
from travelers.formulas.cutting.saws import (
    First,
    Offcut,
    Part,
    Place,
    Plank,
    Section,
    not_below_zero,
    units,
)
from travelers.formulas.cutting.stages import Kind, best_stages

MOST_SETS = 999


@dataclass(frozen=True, slots=True)
class Other:
    """What the other order of cuts would give at best."""

    first: First
    sets: tuple[int, ...]
    cuts: int


@dataclass(frozen=True, slots=True)
class CutPlan:
    """A layout: sets of each part in the order given, the sections, what is left."""

    plank: Plank
    parts: tuple[Part, ...]
    kerf_mm: float
    first: First
    sets: tuple[int, ...]
    sections: tuple[Section, ...]
    offcuts: tuple[Offcut, ...]
    cuts: int
    other: Other

    @property
    def places(self) -> Iterator[Place]:
        """Give all pieces, section by section."""
        for section in self.sections:
            yield from section.places

    @property
    def yield_share(self) -> float:
        """Say which share of the plank's face, trims with it, is in whole sets."""
        used = sum(
            number * part.pieces * part.area_mm2
            for number, part in zip(self.sets, self.parts, strict=True)
        )
        return used / (self.plank.length_mm * self.plank.width_mm)

    @property
    def missing(self) -> tuple[int, ...]:
        """Say how many of the wanted sets of each part the plank does not give."""
        return tuple(
            0 if part.wanted is None else part.wanted - number
            for number, part in zip(self.sets, self.parts, strict=True)
        )


def plan(plank: Plank, parts: Sequence[Part], kerf_mm: float) -> CutPlan:
    """Say how to saw a plank so that it gives the most whole sets.

    Parameters
    ----------
    plank : Plank
        Sizes and trims in millimetres.
    parts : sequence of Part
        What is wanted: sets of like pieces. No piece is turned, and each takes the
        whole thickness. A part that does not fit gets 0 sets.
    kerf_mm : float
        What a cut takes, in millimetres, 0 or more.

    Returns
    -------
    CutPlan
        First the most sets of those whose number is wanted, each counting the same;
        then the most wood in whole sets; then the fewest cuts.

    Raises
    ------
    ValueError
        If a size is none, if no part is given, or (``TooManyWays``) if so many kinds
        and sets are asked for that not all ways can be looked at at once.

    Notes
    -----
    Two stages as at a saw: sections one after another, then pieces side by side in
    each, shorter ones trimmed. Both orders are tried, first across the grain or
    first along it. The best is proved, not guessed: see :func:`best_stages`.

    References
    ----------
    See :func:`best_stages`. That whole sets come from one plank, and that equal answers
    are decided by fewer cuts, then by cutting across first (short pieces are easier to
    handle): common practice, no source.

    Examples
    --------
    >>> found = plan(
    ...     Plank(2000, 400, 50, edge_trim_mm=5, end_trim_mm=20),
    ...     [Part("body", 2, 520, 180, 50)],
    ...     kerf_mm=3,
    ... )
    >>> found.sets, round(found.yield_share, 3)
    ((3,), 0.702)
    """
    if not parts:
        raise ValueError("parts must be 1 or more, got none")
    not_below_zero("kerf_mm", kerf_mm)
    tried = [_saw(plank, parts, units(kerf_mm), first) for first in First]
    (worth, laid), (_other_worth, other) = sorted(
        tried, key=lambda one: (-one[0], one[1].cuts)
    )
    del worth
    return CutPlan(
        plank,
        tuple(parts),
        kerf_mm,
        laid.first,
        laid.sets,
        laid.sections,
        laid.offcuts,
        laid.cuts,
        Other(other.first, other.sets, other.cuts),
    )


def _saw(
    plank: Plank, parts: Sequence[Part], kerf: int, first: First
) -> tuple[int, Laid]:
    """Find the best layout of one order of cuts, and what it is worth."""
    length, width = plank.room
    turned = first is First.RIP
    along, across = (width, length) if turned else (length, width)
    kinds = [_kind(plank, part, turned) for part in parts]
    found = best_stages(along, across, kinds, kerf)
    return found.worth, lay_out(plank, parts, kerf, first, found)


def _kind(plank: Plank, part: Part, turned: bool) -> Kind:
    """Weigh a set: any that is counted is worth more than all the plank's wood."""
    length, width = units(part.length_mm), units(part.width_mm)
    fits = units(part.thickness_mm) <= units(plank.thickness_mm)
    most = MOST_SETS if part.wanted is None else min(part.wanted, MOST_SETS)
    whole = units(plank.length_mm) * units(plank.width_mm)
    return Kind(
        along=width if turned else length,
        across=length if turned else width,
        pieces=part.pieces,
        most=most if fits else 0,
        worth=part.pieces * length * width + (whole if part.wanted is not None else 0),
    )
