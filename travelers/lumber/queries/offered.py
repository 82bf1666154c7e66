"""What can a new delivery be of, and from whom?"""

from collections.abc import Mapping
from dataclasses import dataclass

from travelers.lumber.models import Species, Supplier
from travelers.lumber.queries.density import expected_of
from travelers.lumber.rules import Expected


@dataclass(frozen=True, slots=True)
class Offered:
    """Suppliers and species by their number and name; what is known of the species."""

    suppliers: tuple[tuple[str, str], ...]
    species: tuple[tuple[str, str], ...]
    controlled: frozenset[str]
    expected: Mapping[str, Expected | None]


def offered() -> Offered:
    """Say which suppliers and species a delivery can name, by name."""
    species = list(Species.objects.order_by("name", "id"))
    return Offered(
        tuple(
            (str(pk), name)
            for pk, name in Supplier.objects.order_by("name", "id").values_list(
                "id", "name"
            )
        ),
        tuple((str(row.pk), f"{row.name} ({row.latin})") for row in species),
        frozenset(str(row.pk) for row in species if row.trade_controlled),
        {str(row.pk): expected_of(species=row) for row in species},
    )
