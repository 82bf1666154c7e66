"""How many parts has a cutter done, and which parts did it meet?

A part met the cutters that were mounted at a station when its work there began or
ended. By the ledger as it stands.
"""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, IntegerField, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from travelers.floor.models import Event
from travelers.floor.queries.standing import standing_work
from travelers.floor.rules.machine import Wish
from travelers.shop.models import Cutter

CUTS = (Wish.START, Wish.FINISH)


@dataclass(frozen=True, slots=True)
class CutterNow:
    """A cutter that runs, how many parts it did and how many it is good for."""

    id: int
    head: str
    number: str
    parts: int
    life_parts: int
    mounted_at: datetime
    mounted_by: str

    @property
    def is_over(self) -> bool:
        return self.parts >= self.life_parts


def cutters_at(*, station_id: int) -> tuple[CutterNow, ...]:
    """Give the cutters that run at a station with their parts, in one question."""
    done = (
        Event.objects.filter(
            station_id=station_id,
            kind=Wish.FINISH,
            accepted=True,
            corrected_by=None,
            happened_at__gte=OuterRef("mounted_at"),
        )
        .order_by()
        .values("station")
        .annotate(n=Count("step", distinct=True))
        .values("n")
    )
    rows = Cutter.objects.filter(station=station_id, taken_off_at=None)
    counted = rows.select_related("mounted_by").annotate(
        parts=Coalesce(Subquery(done, output_field=IntegerField()), 0)
    )
    return tuple(
        CutterNow(
            row.pk,
            row.head,
            row.number,
            row.parts,
            row.life_parts,
            row.mounted_at,
            str(row.mounted_by),
        )
        for row in counted.order_by("head")
    )


def parts_cut(*, cutter_ids: Collection[int]) -> Iterator[tuple[int, int]]:
    """Give each cutter with each part that it met."""
    for cutter in Cutter.objects.filter(pk__in=cutter_ids):
        met = _work().filter(
            station_id=cutter.station_id, happened_at__gte=cutter.mounted_at
        )
        if cutter.taken_off_at:
            met = met.filter(happened_at__lt=cutter.taken_off_at)
        for part in met.values_list("part_id", flat=True).distinct():
            yield cutter.pk, part


def cutters_of_parts(*, part_ids: Collection[int]) -> Iterable[tuple[int, int]]:
    """Give each part with each cutter that it met."""
    return ((part, cutter) for part, cutter, _ in cutters_met(part_ids=part_ids))


def cutters_met(*, part_ids: Collection[int]) -> Iterable[tuple[int, int, int]]:
    """Give each part with each cutter that it met, and when first, in seconds."""
    rows = _work().filter(part_id__in=part_ids)
    return _met(rows.values_list("part_id", "station_id", "happened_at"))


def ran(
    *, moments: Collection[tuple[int, datetime]]
) -> Mapping[tuple[int, datetime], str]:
    """Name the cutters that ran at stations at moments; nothing where none did."""
    turns = _turns({station for station, _ in moments}) if moments else {}
    return {
        (station, at): ", ".join(
            cutter.number
            for begun, cutters in turns.get(station, ())
            if (cutter := _at(begun, cutters, at))
        )
        for station, at in moments
    }


def _work() -> QuerySet[Event]:
    """Give the work that stands at stations that ever had a cutter."""
    stations = Cutter.objects.values("station")
    return standing_work().filter(
        kind__in=CUTS, part__isnull=False, station__in=stations
    )


def _met(
    rows: Iterable[tuple[Any, Any, datetime]],
) -> Iterator[tuple[int, int, int]]:
    """Find the cutters of each moment; the first moment of each pair is given."""
    told = list(rows)
    if not told:
        return
    turns = _turns({station for _, station, _ in told})
    first: dict[tuple[int, int], datetime] = {}
    for own, station, at in told:
        for begun, cutters in turns.get(station, ()):
            if cutter := _at(begun, cutters, at):
                key = (own, cutter.pk)
                first[key] = min(first.get(key, at), at)
    for (own, cutter_id), at in first.items():
        yield own, cutter_id, int(at.timestamp())


def _at(
    begun: Sequence[datetime], cutters: Sequence[Cutter], at: datetime
) -> Cutter | None:
    """Give the cutter of a head that ran at a moment."""
    place = bisect_right(begun, at) - 1
    if place < 0:
        return None
    ended = cutters[place].taken_off_at
    return cutters[place] if ended is None or at < ended else None


def _turns(
    station_ids: Collection[int],
) -> Mapping[int, list[tuple[list[datetime], list[Cutter]]]]:
    """Give for each head of each station its cutters in their order, with moments."""
    heads: dict[tuple[int, str], list[Cutter]] = defaultdict(list)
    rows = Cutter.objects.filter(station__in=station_ids).order_by("mounted_at", "pk")
    for cutter in rows:
        heads[cutter.station_id, cutter.head].append(cutter)
    turns: dict[int, list[tuple[list[datetime], list[Cutter]]]] = defaultdict(list)
    for (station, _), cutters in heads.items():
        turns[station].append(([one.mounted_at for one in cutters], cutters))
    return turns
