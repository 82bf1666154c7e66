"""What have the defective instruments in common that the comparable rest has not?"""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from travelers.formulas.association.adjust import (
    benjamini_hochberg,
    chance_of_any,
    holm,
    holm_of_counts,
)
from travelers.formulas.association.apart import Explained, tell_apart
from travelers.formulas.association.members import marked, put_together, split_by
from travelers.formulas.association.odds import OddsRatio, common_odds, odds_ratio
from travelers.formulas.association.strata import chances_within

LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class Suspect:
    """What speaks for one candidate, or for several that the data cannot tell apart.

    ``adjusted_p`` counts each other candidate only for what it could have said, and is
    what the ranking goes by; ``holm_p`` and ``bh_p`` count all of them fully.
    ``explained_by`` names the suspect above it with which it only goes along;
    ``p_given`` is its p once that is taken into account, and where ``told_apart`` is
    false, the data would also bear the opposite. ``can_stand_out`` is false of one too
    small to stand out by itself whatever befell its members.
    """

    candidates: tuple[Hashable, ...]
    cases_in: int
    cases_out: int
    rest_in: int
    rest_out: int
    odds: OddsRatio
    p: float
    adjusted_p: float
    holm_p: float
    bh_p: float
    can_stand_out: bool
    stands_out: bool
    explained_by: Hashable | None = None
    p_given: float | None = None
    told_apart: bool = True


@dataclass(frozen=True, slots=True)
class Ranking:
    """All suspects, those to look at first in front.

    ``untested`` are the candidates without a member, or with every instrument.
    """

    suspects: tuple[Suspect, ...]
    untested: tuple[Hashable, ...]
    cases: int
    rest: int
    level: float

    @property
    def anything_stands_out(self) -> bool:
        """Say whether any candidate is more than chance among so many."""
        return any(one.stands_out for one in self.suspects)

    @property
    def leading(self) -> tuple[Suspect, ...]:
        """Give what stands out and goes along with nothing above it."""
        return tuple(
            one for one in self.suspects if one.stands_out and one.explained_by is None
        )


def in_common(
    groups: Mapping[Any, Collection[int]],
    is_case: Sequence[bool],
    *,
    parents: Mapping[Any, Any] | None = None,
    strata: Sequence[int] | None = None,
    level: float = LEVEL,
    confidence: float = 0.95,
) -> Ranking:
    """Rank what may have caused a defect by what the defective have in common.

    Candidates are wood, loads, batches, stations, tools, gauges, weeks, revisions.
    People are not candidates: whoever asks must not pass them.

    Parameters
    ----------
    groups : mapping of candidate to collection of int
        For each candidate the places in ``is_case`` of the instruments that met it. An
        instrument may have met many, of many kinds.
    is_case : sequence of bool
        For each instrument whether it is defective or one of the comparable rest.
    parents : mapping of candidate to candidate, optional
        In which candidate another lies, as a plank in its delivery. It decides only
        which of several with the same members is named first: the narrowest.
    level : float
        Between 0 and 1: how often anything may stand out where nothing is the cause;
        also where a suspect counts as explained by others.
    confidence : float
        Between 0 and 1, of the intervals of odds ratios.

    Returns
    -------
    Ranking
        By adjusted p, then by p, each followed by what it explains.

    Raises
    ------
    ValueError
        If a member is not a place of ``is_case``, a child is not within its parent, or
        a number is out of its range.

    Notes
    -----
    1. Candidates with the same members are one suspect: no data can tell them apart.
    2. Each suspect is tested by Fisher's exact test, one-sided: are cases too many? In
       several strata that is its sum over them (:func:`chances_within`).
    3. p-values are adjusted by :func:`holm_of_counts`. A suspect too small to stand out
       whatever befell its members costs the others next to nothing.
    4. Those that stand out are told apart by :func:`tell_apart`, whether one lies in
       the other or they only overlap; that moves them in the ranking, and changes no p.

    References
    ----------
    As for the functions named.

    Examples
    --------
    Plank 3 of a delivery is bad: the delivery does not stand beside it, but beneath.

    >>> groups = {"delivery": range(24), "plank 3": range(12, 18), "week 8": range(60)}
    >>> found = in_common(groups, [12 <= n < 17 or n == 70 for n in range(120)])
    >>> for one in found.suspects:
    ...     print(one.candidates, one.cases_in, one.stands_out, one.explained_by)
    ('plank 3',) 5 True None
    ('delivery',) 5 True plank 3
    ('week 8',) 5 False None
    """
    import numpy as np

    for name, number in (("level", level), ("confidence", confidence)):
        if not 0 < number < 1:
            raise ValueError(f"{name} must be between 0 and 1, got {number!r}")
    among = _Among.of(is_case, strata)
    case, inside, names = among.case, marked(groups, len(is_case)), list(groups)
    tested = split_by(inside, among.strata)
    together = put_together(names, inside, tested, parents or {})
    rows = inside[[places[0] for places in together]]
    suspects = _tested(
        [tuple(names[place] for place in places) for places in together],
        rows,
        among,
        level,
        confidence,
    )
    return Ranking(
        suspects=tuple(_ranked(suspects, rows, among, level)),
        untested=tuple(names[place] for place in np.flatnonzero(~tested)),
        cases=int(case.sum()),
        rest=int((~case).sum()),
        level=level,
    )


@dataclass(frozen=True, slots=True)
class _Among:
    """Which instruments are defective, and in which stratum each is."""

    case: Any
    strata: Any

    @classmethod
    def of(cls, is_case: Sequence[bool], strata: Sequence[int] | None) -> "_Among":
        import numpy as np

        case = np.asarray(is_case, dtype=bool)
        if case.ndim != 1:
            raise ValueError(f"is_case must be one row of truths, got {is_case!r}")
        if strata is None:
            return cls(case, np.zeros(len(case), dtype=int))
        numbers = np.asarray(strata)
        if numbers.shape != case.shape or numbers.dtype.kind not in "iu":
            raise ValueError(
                f"strata must be one number for each of {len(case)} instruments, got "
                f"{strata!r}"
            )
        return cls(case, numbers)

    def tables(self, rows: Any) -> tuple[Any, Any, Any, Any]:
        """Count cases and the rest within each row, and both outside."""
        sizes, cases_in = rows.sum(axis=1), rows[:, self.case].sum(axis=1)
        cases_out = int(self.case.sum()) - cases_in
        rest_in = sizes - cases_in
        return cases_in, rest_in, cases_out, len(self.case) - sizes - cases_out


def _tested(
    candidates: list[tuple[Hashable, ...]],
    rows: Any,
    among: _Among,
    level: float,
    confidence: float,
) -> list[Suspect]:
    """Test each suspect by itself, and adjust for having asked about all of them."""
    import numpy as np

    cases_in, rest_in, cases_out, rest_out = among.tables(rows)
    p, attainable, odds = _p_and_odds(rows, among, confidence)
    adjusted = holm_of_counts(p, attainable)
    least = [one[0] for one in attainable]
    best = chance_of_any(least, attainable)
    columns = zip(
        candidates,
        *(one.tolist() for one in (cases_in, cases_out, rest_in, rest_out)),
        odds,
        p,
        adjusted,
        holm(p),
        benjamini_hochberg(p),
        (np.minimum(best, adjusted) < level).tolist(),
        (np.array(adjusted) < level).tolist(),
        strict=True,
    )
    return [Suspect(*column) for column in columns]


def _p_and_odds(
    rows: Any, among: _Among, confidence: float
) -> tuple[list[float], list[list[float]], list[OddsRatio]]:
    """Say each suspect's p, all that one of its sizes can have, rising, and its odds.

    Suspects of the same sizes in all strata can have the same, and share it.
    """
    import numpy as np

    kinds = np.unique(among.strata)
    sizes = [rows[:, among.strata == kind].sum(axis=1) for kind in kinds]
    _, first, place = np.unique(
        np.stack(sizes, axis=1) if sizes else np.zeros((len(rows), 0)),
        axis=0,
        return_index=True,
        return_inverse=True,
    )
    place = place.ravel()
    found = chances_within(rows[first], among.case, among.strata)
    tails = found.at_least
    attainable = [row[row > 0][::-1].tolist() for row in tails]
    seen = rows[:, among.case].sum(axis=1)
    p = tails[place, seen - found.low[place]]
    odds = (
        odds_ratio(*among.tables(rows), confidence=confidence)
        if len(kinds) <= 1
        else common_odds(found.share[place], seen - found.low[place], confidence)
    )
    return p.tolist(), [attainable[one] for one in place.tolist()], odds


def _ranked(
    suspects: list[Suspect], rows: Any, among: _Among, level: float
) -> list[Suspect]:
    """Put suspects in order, and those that only go along beneath their leaders."""
    order = sorted(
        range(len(suspects)), key=lambda at: (suspects[at].adjusted_p, suspects[at].p)
    )
    asked = [at for at in order if suspects[at].stands_out]
    p = [suspects[at].p for at in asked]
    told = tell_apart(rows[asked], among.case, p, level, among.strata)
    ranked: list[Suspect] = []
    for place, explained in enumerate(told):
        if explained is None:
            ranked.append(suspects[asked[place]])
            ranked += [
                _beneath(suspects[asked[other]], one, ranked[-1])
                for other, one in enumerate(told)
                if one and one.by == place
            ]
    return ranked + [suspects[at] for at in order if not suspects[at].stands_out]


def _beneath(suspect: Suspect, explained: Explained, leader: Suspect) -> Suspect:
    return replace(
        suspect,
        explained_by=leader.candidates[0],
        p_given=explained.p_given,
        told_apart=explained.told_apart,
    )
