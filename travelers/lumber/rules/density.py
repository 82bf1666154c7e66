"""Is a plank as heavy as its species is, or has a unit slipped?"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from travelers.formulas.tables import species_gravity
from travelers.formulas.wood import (
    DensityRange,
    Slipped,
    density_range_kg_m3,
    gravity_at,
    slipped_units,
)
from travelers.kit.refusals import Refusal, gettext_noop, refusal
from travelers.lumber.rules.planks import HEAVIEST_KG_M3, LIGHTEST_KG_M3, Sawn

# The moisture by which the tables give a volume.
TABLE_PCT = 12
# No wood has a specific gravity outside of these (balsa about 0.16, lignum vitae about
# 1.05; from memory).
LIGHTEST_GRAVITY, HEAVIEST_GRAVITY = Decimal("0.10"), Decimal("1.40")
ANY_WOOD = DensityRange(LIGHTEST_KG_M3, 600, HEAVIEST_KG_M3)
# A size was in another unit only where it is small for planks as they are sawn (common
# practice, no source). By the density alone length, width and thickness are alike.
SMALL_FOR = {
    Slipped.LENGTH_IN_M: ("length_mm", 20),
    Slipped.LENGTH_IN_CM: ("length_mm", 500),
    Slipped.WIDTH_IN_CM: ("width_mm", 50),
    Slipped.THICKNESS_IN_CM: ("thickness_mm", 15),
    Slipped.THICKNESS_IN_INCHES: ("thickness_mm", 5),
    Slipped.ALL_IN_CM: ("length_mm", 500),
    Slipped.ALL_IN_INCHES: ("length_mm", 200),
}


class Unexplained(StrEnum):
    """What is asked where no slip of a unit explains a density."""

    NO_SLIP = "no_slip"


CANNOT_BE_WOOD = refusal(
    "lumber.cannot_be_wood",
    gettext_noop("{density} kg/m³ cannot be wood."),
    gettext_noop("Look again. {slip_word} Measure and weigh it once more."),
    status=422,
)
DENSITY_UNLIKELY = refusal(
    "lumber.density_unlikely",
    gettext_noop("{density} kg/m³ is unlikely: {species} has {least} to {most}."),
    gettext_noop("Look again. {slip_word} If it is so, say that you looked."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Expected:
    """Between which densities the wood of a species lies, as published or as set."""

    species: str
    least: float
    mean: float
    most: float

    @property
    def range(self) -> DensityRange:
        return DensityRange(self.least, self.mean, self.most)

    def has(self, density_kg_m3: float) -> bool:
        return self.least <= density_kg_m3 <= self.most


def expected_density(
    species: str, handbook_name: str, gravity: Decimal | None
) -> Expected | None:
    """Give it by the gravity that the shop has set, else by the handbook's.

    None where neither knows the species.
    """
    at_12 = float(gravity) if gravity is not None else _published(handbook_name)
    if at_12 is None:
        return None
    found = density_range_kg_m3(at_12)
    return Expected(species, found.least, found.mean, found.most)


def not_wood(sawn: Sawn) -> Refusal | None:
    """Refuse a size or mass by which the wood would be none."""
    density = sawn.density_kg_m3
    if LIGHTEST_KG_M3 <= density <= HEAVIEST_KG_M3:
        return None
    return CANNOT_BE_WOOD.about(density=_said(density), slip_word=_slip(sawn, ANY_WOOD))


def unlikely(sawn: Sawn, expected: Expected | None) -> Refusal | None:
    """Doubt a density that its species does not have; somebody may have looked."""
    density = sawn.density_kg_m3
    if expected is None or expected.has(density):
        return None
    return DENSITY_UNLIKELY.about(
        density=_said(density),
        species=expected.species,
        least=f"{expected.least:.0f}",
        most=f"{expected.most:.0f}",
        slip_word=_slip(sawn, expected.range),
    )


def not_taken(sawn: Sawn, expected: Expected | None) -> Refusal | None:
    """Say why a plank cannot come in; an unlikely one may, once somebody looked."""
    doubt = not_wood(sawn)
    if doubt is None and sawn.looked_at_by is None:
        doubt = unlikely(sawn, expected)
    return doubt


def _slip(sawn: Sawn, expected: DensityRange) -> str:
    """Name the likeliest slip: one after which the size would be that of a plank."""
    for slip in slipped_units(sawn.density_kg_m3, expected):
        size, below_mm = SMALL_FOR.get(slip, ("", 0))
        if not size or getattr(sawn, size) < below_mm:
            return slip
    return Unexplained.NO_SLIP


def _said(density: float) -> str:
    return f"{density:.0f}" if density >= 10 else f"{density:.2g}"


def _published(handbook_name: str) -> float | None:
    known = species_gravity().get(handbook_name)
    if known is None:
        return None
    if known.at_12_pct is None and known.green is not None:
        return gravity_at(known.green, TABLE_PCT)
    return known.at_12_pct
