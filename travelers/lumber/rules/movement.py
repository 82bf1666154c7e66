"""How much will a size change until the wood is as dry as it is to be?"""

from dataclasses import dataclass

from travelers.formulas.tables import species_movement
from travelers.formulas.wood import (
    COEFFICIENT_DRIEST_PCT,
    COEFFICIENT_WETTEST_PCT,
    dimension_change_mm,
    shrinkage_change_mm,
)

# From here up wood has its green size (the handbook's fibre saturation point).
GREEN_PCT = 30


@dataclass(frozen=True, slots=True)
class Movement:
    """What becomes of a size across the grain between two moistures, in mm.

    ``radial_mm`` where the size runs across the growth rings, ``tangential_mm`` where
    it runs along them; a real piece lies between. Below 0 the wood shrinks.
    """

    from_pct: float
    to_pct: float
    radial_mm: float
    tangential_mm: float

    @property
    def least_mm(self) -> float:
        """Give the smaller of both changes, as a length without a sign."""
        return min(abs(self.radial_mm), abs(self.tangential_mm))

    @property
    def most_mm(self) -> float:
        """Give the larger of both changes, as a length without a sign."""
        return max(abs(self.radial_mm), abs(self.tangential_mm))

    @property
    def shrinks(self) -> bool:
        return self.to_pct < self.from_pct


def movement(
    species: str, size_mm: float, from_pct: float, to_pct: float
) -> Movement | None:
    """Reckon it by the published coefficients; None where the species has none.

    ``species`` is the name of the tables in ``shared/``. Beyond the moistures that the
    coefficients were fitted for, the total shrinkage decides where it is known.
    """
    known = species_movement().get(species)
    if known is None:
        return None
    wet, dry = min(from_pct, GREEN_PCT), min(to_pct, GREEN_PCT)
    radial = _change(
        size_mm, wet, dry, known.radial_per_point, known.radial_shrinkage_pct
    )
    tangential = _change(
        size_mm, wet, dry, known.tangential_per_point, known.tangential_shrinkage_pct
    )
    if radial is None or tangential is None:
        return None
    return Movement(from_pct, to_pct, radial, tangential)


def _change(
    size_mm: float,
    wet: float,
    dry: float,
    coefficient: float | None,
    shrinkage_pct: float | None,
) -> float | None:
    inside = all(
        COEFFICIENT_DRIEST_PCT <= one <= COEFFICIENT_WETTEST_PCT for one in (wet, dry)
    )
    if coefficient is not None and (inside or shrinkage_pct is None):
        return dimension_change_mm(size_mm, wet, dry, coefficient)
    if shrinkage_pct is not None:
        return shrinkage_change_mm(size_mm, wet, dry, shrinkage_pct)
    return None
