"""Which things came of which others?  One question for many things of a kind.

Down goes from wood to guitar; up is the same edges the other way round.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from travelers.floor import queries as floor
from travelers.kit.days import span_of
from travelers.lumber.models import MoistureReading, Plank, PlankSet
from travelers.orders.models import Part, Step
from travelers.orders.rules import StepState
from travelers.quality.models import Defect
from travelers.quality.rules import Edge, Kind, Thing
from travelers.routes.rules import Joins

Pairs = Iterable[tuple[Any, Any]]
# Numbers as a thing has them, in letters; the database reads them as it wants them.
Ids = list[Any]


class Edges:
    """The edges of all things, as a step of a walk down or up.

    ``zone`` says when a day begins.  What a gauge measured counts from ``since`` on.
    """

    def __init__(self, *, zone: ZoneInfo, since: datetime | None = None) -> None:
        self._zone, self._since = zone, since
        self._down: dict[Kind, tuple[tuple[Kind, Callable[[Ids], Pairs]], ...]] = {
            Kind.DELIVERY: ((Kind.PLANK, planks_of),),
            Kind.PLANK: ((Kind.PLANK_SET, sets_of),),
            Kind.PLANK_SET: ((Kind.PART, parts_of_sets),),
            Kind.LOAD: ((Kind.PART, parts_of_loads),),
            Kind.GAUGE: (
                (Kind.PART, self._parts_measured),
                (Kind.PLANK_SET, self._sets_read),
            ),
            Kind.BATCH: ((Kind.PART, parts_of_batches),),
            Kind.SERIAL: ((Kind.PART, parts_with_serials),),
            Kind.CUTTER: ((Kind.PART, parts_cut),),
            Kind.STATION_DAY: ((Kind.PART, self._parts_worked),),
            Kind.DEFECT: ((Kind.PART, parts_of_defects),),
            Kind.PART: ((Kind.PART, joined_to), (Kind.INSTRUMENT, instruments_of)),
        }
        self._up: dict[Kind, tuple[tuple[Kind, Callable[[Ids], Pairs]], ...]] = {
            Kind.INSTRUMENT: ((Kind.PART, parts_of_instruments),),
            Kind.DEFECT: ((Kind.PART, parts_of_defects),),
            Kind.PART: (
                (Kind.PART, joined_from),
                (Kind.PLANK_SET, sets_of_parts),
                (Kind.LOAD, loads_of_parts),
                (Kind.GAUGE, gauges_of_parts),
                (Kind.BATCH, batches_of_parts),
                (Kind.SERIAL, serials_of_parts),
                (Kind.CUTTER, cutters_of_parts),
                (Kind.STATION_DAY, self._days_of_parts),
            ),
            Kind.PLANK_SET: ((Kind.PLANK, planks_of_sets), (Kind.GAUGE, meters_of)),
            Kind.PLANK: ((Kind.DELIVERY, deliveries_of),),
        }

    def down(self, things: Sequence[Thing]) -> Iterator[Edge]:
        """Give what came of things."""
        return _edges(self._down, things)

    def up(self, things: Sequence[Thing]) -> Iterator[Edge]:
        """Give what things came of."""
        return _edges(self._up, things)

    def _parts_measured(self, ids: Ids) -> Pairs:
        return floor.parts_measured(gauge_ids=ids, since=self._since)

    def _sets_read(self, ids: Ids) -> Pairs:
        rows = MoistureReading.objects.filter(gauge_id__in=ids)
        if self._since:
            rows = rows.filter(read_at__gte=self._since)
        return rows.values_list("gauge_id", "piece__plank_set_id").distinct()

    def _parts_worked(self, ids: Ids) -> Iterator[tuple[str, int]]:
        for own in ids:
            station, day = station_day(own)
            since, until = span_of(day, day, self._zone)
            for part in floor.parts_worked(
                station_id=station, since=since, until=until
            ):
                yield own, part

    def _days_of_parts(self, ids: Ids) -> Iterator[tuple[int, str]]:
        for part, station, at in floor.work_of_parts(part_ids=ids):
            yield part, f"{station}.{at.astimezone(self._zone).date().isoformat()}"


def station_day(own: str) -> tuple[int, date]:
    """Read the number of a station's day.

    Raises
    ------
    ValueError
        Where it is none.
    """
    station, _, day = own.partition(".")
    return int(station), date.fromisoformat(day)


def _edges(
    ways: dict[Kind, tuple[tuple[Kind, Callable[[Ids], Pairs]], ...]],
    things: Sequence[Thing],
) -> Iterator[Edge]:
    kinds: dict[Kind, Ids] = {}
    for thing in things:
        kinds.setdefault(thing.kind, []).append(thing.id)
    for kind, ids in kinds.items():
        for other, ask in ways.get(kind, ()):
            for here, there in ask(ids):
                yield Thing(kind, str(here)), Thing(other, str(there))


def planks_of(ids: Ids) -> Pairs:
    rows = Plank.objects.filter(delivery_id__in=ids)
    return rows.order_by("number").values_list("delivery_id", "pk")


def sets_of(ids: Ids) -> Pairs:
    rows = PlankSet.objects.filter(plank_id__in=ids)
    return rows.order_by("number").values_list("plank_id", "pk")


def parts_of_sets(ids: Ids) -> Pairs:
    return Part.objects.filter(plank_set_id__in=ids).values_list("plank_set_id", "pk")


def parts_of_loads(ids: Ids) -> Pairs:
    return floor.parts_in_loads(load_ids=ids)


def parts_of_defects(ids: Ids) -> Pairs:
    return Defect.objects.filter(pk__in=ids).values_list("pk", "part_id")


def instruments_of(ids: Ids) -> Pairs:
    return Part.objects.filter(pk__in=ids).values_list("pk", "instrument_id")


def parts_of_instruments(ids: Ids) -> Pairs:
    rows = Part.objects.filter(instrument_id__in=ids).order_by("pk")
    return rows.values_list("instrument_id", "pk")


def sets_of_parts(ids: Ids) -> Pairs:
    rows = Part.objects.filter(pk__in=ids, plank_set__isnull=False)
    return rows.values_list("pk", "plank_set_id")


def planks_of_sets(ids: Ids) -> Pairs:
    return PlankSet.objects.filter(pk__in=ids).values_list("pk", "plank_id")


def deliveries_of(ids: Ids) -> Pairs:
    return Plank.objects.filter(pk__in=ids).values_list("pk", "delivery_id")


def loads_of_parts(ids: Ids) -> Pairs:
    return floor.loads_of_parts(part_ids=ids)


def gauges_of_parts(ids: Ids) -> Pairs:
    return floor.gauges_of_parts(part_ids=ids)


def parts_of_batches(ids: Ids) -> Pairs:
    return floor.parts_of_batches(batch_ids=ids)


def batches_of_parts(ids: Ids) -> Pairs:
    return floor.batches_of_parts(part_ids=ids)


def parts_with_serials(ids: Ids) -> Iterator[tuple[str, int]]:
    serials = [built_in(own) for own in ids]
    for (material, serial), part in floor.parts_with_serials(serials=serials):
        yield f"{material}.{serial}", part


def serials_of_parts(ids: Ids) -> Iterator[tuple[int, str]]:
    for part, (material, serial) in floor.serials_of_parts(part_ids=ids):
        yield part, f"{material}.{serial}"


def built_in(own: str) -> tuple[int, str]:
    """Read the number of a bought piece: its material's, and its serial number."""
    material, _, serial = own.partition(".")
    return int(material), serial


def parts_cut(ids: Ids) -> Pairs:
    return floor.parts_cut(cutter_ids=ids)


def cutters_of_parts(ids: Ids) -> Pairs:
    return floor.cutters_of_parts(part_ids=ids)


def meters_of(ids: Ids) -> Pairs:
    rows = MoistureReading.objects.filter(
        piece__plank_set_id__in=ids, gauge__isnull=False
    )
    return rows.values_list("piece__plank_set_id", "gauge_id").distinct()


def joined_to(ids: Ids) -> Iterator[tuple[int, int]]:
    """Say into which part others were joined, where the join is done."""
    own = list(
        Part.objects.in_use()
        .filter(pk__in=ids)
        .values_list("pk", "instrument_id", "branch")
    )
    into: dict[tuple[int, str], list[int]] = {}
    for part, instrument, branch in _joins(instrument_id__in={row[1] for row in own}):
        into.setdefault((instrument, branch), []).append(part)
    for part, instrument, branch in own:
        for other in into.get((instrument, branch), ()):
            if other != part:
                yield part, other


def joined_from(ids: Ids) -> Iterator[tuple[int, int]]:
    """Say of which parts a part was joined."""
    joins = list(_joins(part_id__in=ids))
    rows = Part.objects.in_use().filter(instrument_id__in={row[1] for row in joins})
    parts = {
        (instrument, branch): part
        for part, instrument, branch in rows.values_list(
            "pk", "instrument_id", "branch"
        )
    }
    for part, instrument, branch in joins:
        other = parts.get((instrument, branch))
        if other and other != part:
            yield part, other


def _joins(**which: Any) -> QuerySet[Step, tuple[int, int, str]]:
    """Give done joins: the part, its instrument, and a branch that was joined."""
    rows = Step.objects.filter(
        **which, operation__joins=Joins.BRANCHES, state=StepState.DONE
    )
    return rows.values_list(
        "part_id", "instrument_id", "operation__waits_for__before__branch"
    ).distinct()
