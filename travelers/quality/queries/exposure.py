"""What did the compared parts meet before their defect could be seen?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from travelers.floor import queries as floor
from travelers.orders.models import Instrument, Part
from travelers.quality.queries.comparable import Comparable, Compared
from travelers.quality.rules import Candidate, Factor


@dataclass(frozen=True, slots=True)
class Met:
    """Of each thing the places, in the list of who is compared, of those who met it."""

    groups: Mapping[Candidate, Collection[int]]
    parents: Mapping[Candidate, Candidate]


def things_met(*, among: Comparable, zone: ZoneInfo) -> Met:
    """Say what each met until its moment; what came later is no cause.

    What met another part of the instrument counts from when that is joined in: what
    dried beside a harness is no cause of a cold joint in it, and how far the body had
    come by then says when, not why. An instrument's week is that in which it passed
    the operation.
    """
    compared = among.compared
    places = _places(among)
    ids = tuple(places)
    until = [int(one.until.timestamp()) for one in compared]
    groups: dict[Candidate, set[int]] = defaultdict(set)

    def meet(factor: Factor, met: Iterable[tuple[int, object, int]]) -> None:
        found: dict[object, set[int]] = defaultdict(set)
        for part, own, first in met:
            own_places = found[own]
            for place in places[part]:
                if first <= until[place]:
                    own_places.add(place)
        groups.update({Candidate(factor, str(own)): who for own, who in found.items()})

    parents = _wood_met(places, groups)
    meet(Factor.LOAD, floor.loads_met(part_ids=ids))
    meet(Factor.STATION, floor.stations_met(part_ids=ids))
    meet(Factor.GAUGE, floor.gauges_met(part_ids=ids))
    meet(Factor.BATCH, floor.batches_met(part_ids=ids))
    meet(Factor.CUTTER, floor.cutters_met(part_ids=ids))
    for place, revision in enumerate(_revisions(compared)):
        groups[Candidate(Factor.REVISION, str(revision))].add(place)
    for place, one in enumerate(compared):
        groups[Candidate(Factor.WEEK, _monday(one.until, zone))].add(place)
    return Met(dict(groups), parents)


def _wood_met(
    places: Mapping[int, Sequence[int]], groups: dict[Candidate, set[int]]
) -> dict[Candidate, Candidate]:
    """Put down of which planks and deliveries parts are; say which lies in which."""
    parents = {}
    wood = Part.objects.filter(pk__in=tuple(places), plank_set__isnull=False)
    for part, plank, delivery in wood.values_list(
        "pk", "plank_set__plank_id", "plank_set__plank__delivery_id"
    ):
        own = Candidate(Factor.PLANK, str(plank))
        parents[own] = Candidate(Factor.DELIVERY, str(delivery))
        for one in (own, parents[own]):
            groups[one].update(places[part])
    return parents


def _places(among: Comparable) -> Mapping[int, Sequence[int]]:
    """Say for each part at which places it, or what it was joined into, is compared."""
    places: dict[int, list[int]] = defaultdict(list)
    wanted: dict[tuple[int, str], list[int]] = defaultdict(list)
    for place, one in enumerate(among.compared):
        places[one.part_id].append(place)
        for branch in among.flowing_in[one.stratum]:
            wanted[one.instrument_id, branch].append(place)
    if wanted:
        rows = Part.objects.in_use().filter(
            instrument_id__in={instrument for instrument, _ in wanted},
            branch__in={branch for _, branch in wanted},
        )
        for part, instrument, branch in rows.values_list(
            "pk", "instrument_id", "branch"
        ):
            if own := wanted.get((instrument, branch)):
                places[part] += own
    return places


def _revisions(compared: Sequence[Compared]) -> list[int]:
    rows = Instrument.objects.filter(pk__in={one.instrument_id for one in compared})
    revisions = dict(rows.values_list("pk", "revision_id"))
    return [revisions[one.instrument_id] for one in compared]


def _monday(at: datetime, zone: ZoneInfo) -> str:
    day = at.astimezone(zone).date()
    return (day - timedelta(days=day.weekday())).isoformat()
