"""Where does the wood of a set come from?"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from travelers.lumber.models import PlankSet
from travelers.lumber.queries.deliveries import set_row


@dataclass(frozen=True, slots=True)
class Origin:
    """A set with its plank and what came with it.

    ``density_kg_m3`` is that of its pieces once all are weighed, until then that of
    its plank.
    """

    set: str
    pieces: int
    plank: str
    species: str
    latin: str
    delivery: str
    received_on: date
    trade_controlled: bool
    trade_papers: str
    density_kg_m3: float
    weighed: bool


def origins(*, plank_set_ids: Collection[int]) -> dict[int, Origin]:
    """Say of each set where its wood comes from, by the set's key."""
    rows = (
        PlankSet.objects.filter(pk__in=plank_set_ids)
        .select_related("plank__delivery__species")
        .prefetch_related("pieces")
    )
    return {row.pk: _origin(row) for row in rows}


def _origin(row: PlankSet) -> Origin:
    cut, plank, delivery = set_row(plank_set=row), row.plank, row.plank.delivery
    whole = float(plank.length_mm * plank.width_mm * plank.thickness_mm)
    own = cut.density_kg_m3
    return Origin(
        set=row.number,
        pieces=len(cut.pieces),
        plank=plank.number,
        species=delivery.species.name,
        latin=delivery.species.latin,
        delivery=delivery.number,
        received_on=delivery.received_on,
        trade_controlled=delivery.species.trade_controlled,
        trade_papers=delivery.trade_papers,
        density_kg_m3=plank.mass_g / whole * 1e6 if own is None else own,
        weighed=own is not None,
    )
