"""How does a plank's density lie among those of its species?"""

from dataclasses import dataclass

from travelers.lumber.models import Species
from travelers.lumber.rules import Expected, expected_density

# The strip on which a density is shown reaches a little beyond what is expected.
STRIP, MARGIN = 100, 12


@dataclass(frozen=True, slots=True)
class Density:
    """A density beside what is expected of its species, where that is known.

    ``looked_at_by`` is who looked again at one that is not, as the plank came in.
    """

    kg_m3: float
    expected: Expected | None
    looked_at_by: str = ""

    @property
    def is_unlikely(self) -> bool:
        return self.expected is not None and not self.expected.has(self.kg_m3)

    @property
    def place(self) -> int:
        """Say where on the strip it lies, as far as the strip reaches."""
        if self.expected is None:
            return STRIP // 2
        span = self.expected.most - self.expected.least
        share = (self.kg_m3 - self.expected.least) / span
        least = MARGIN / 3
        inside = MARGIN + share * (STRIP - 2 * MARGIN)
        return round(min(max(inside, least), STRIP - least))


def expected_of(*, species: Species) -> Expected | None:
    return expected_density(
        species.name, species.handbook_name, species.gravity_at_12_ratio
    )
