"""Which batch stands at a station, and where was a serial number built in?"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.utils import timezone

from travelers.floor.models import Batch, BatchAtStation, BatchHold
from travelers.floor.queries.standing import standing_uses
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import State, Wish
from travelers.floor.rules.materials import AtHand, BatchHeld, batch_faults
from travelers.kit.refusals import NOT_FOUND, Refusal, Refused
from travelers.kit.rows import MARK, OftenAsked
from travelers.routes.models import Material
from travelers.routes.rules import Need
from travelers.shop.models import Station

# Batches older than this are used up; of the younger ones so many are offered.
STILL_THERE = timedelta(days=400)
OFFERED = 6
MARK_OTHER = MARK + 1
# A press before the work and one after it look at the batches.
LOOKS = frozenset({Wish.START, Wish.FINISH})
ASKED_IN = frozenset({State.READY, State.RUNNING})


@dataclass(frozen=True, slots=True)
class BuiltIn:
    """Where a serial number was built in."""

    serial: str
    part_id: int
    step_id: int


COLUMNS = ("pk", "code", "number", "material_id", "material__name", "expires_on")
OPEN_HOLDS = BatchHold.objects.filter(batch=OuterRef("pk"), lifted_at=None)
# The batch of a material that came to a station last: its columns, the first hold that
# is open, and since when it stands there.
_stands = OftenAsked(
    lambda station_id, material_id: (
        BatchAtStation.objects.filter(
            station=station_id, batch__material_id=material_id
        )
        .order_by("-began_at", "-pk")
        .values_list(
            *(f"batch__{name}" for name in COLUMNS),
            Subquery(
                BatchHold.objects.filter(batch=OuterRef("batch"), lifted_at=None)
                .order_by("held_at", "pk")
                .values("pk")[:1]
            ),
            "began_at",
        )[:1]
    ),
    MARK,
    MARK_OTHER,
)


def batches_at(
    *,
    station_id: int,
    material_ids: Collection[int],
    at: datetime,
    past: datetime | None = None,
) -> dict[int, AtHand]:
    """Give the batch of each material that stands at a station at a moment.

    Of what happened at a moment ``past``, a hold that came later stops nothing.
    """
    rows = [
        row
        for material_id in sorted(material_ids)
        for row in _stands(station_id, material_id)
    ]
    if past is None and all(row[-1] <= at for row in rows):
        return {one.material_id: one for one in _read([row[:-1] for row in rows])}
    return _batches_then(station_id, material_ids, at, past)


def _batches_then(
    station_id: int,
    material_ids: Collection[int],
    at: datetime,
    past: datetime | None,
) -> dict[int, AtHand]:
    """Give what stood there at a moment that is past; another may have come since."""
    last = (
        BatchAtStation.objects.filter(
            station_id=station_id,
            batch__material=OuterRef("pk"),
            began_at__lte=at,
        )
        .order_by("-began_at", "-pk")
        .values("batch_id")[:1]
    )
    rows = Material.objects.filter(pk__in=material_ids).values(last=Subquery(last))
    found = read_batches(which=Q(pk__in=rows), past=past)
    return {one.material_id: one for one in found}


def read_batches(*, which: Q, past: datetime | None = None) -> tuple[AtHand, ...]:
    """Read batches with what holds them, in one question."""
    open_ = OPEN_HOLDS
    if past:
        open_ = open_.filter(held_at__lte=past)
    first = open_.order_by("held_at", "pk").values("pk")[:1]
    rows = (
        Batch.objects.filter(which)
        .annotate(hold=Subquery(first))
        .values_list(*COLUMNS, "hold")
        .order_by("pk")
    )
    return _read(list(rows))


def _read(rows: Sequence[tuple[Any, ...]]) -> tuple[AtHand, ...]:
    """Read rows of COLUMNS, each with the number of its first open hold."""
    holds = _held([row[-1] for row in rows if row[-1]])
    return tuple(
        replace(AtHand(*row[:-1]), held=holds.get(row[-1] or 0)) for row in rows
    )


def _held(hold_ids: list[int]) -> Mapping[int, BatchHeld]:
    """Say who holds and why; no question where nothing is held."""
    if not hold_ids:
        return {}
    rows = BatchHold.objects.filter(pk__in=hold_ids).select_related("held_by")
    return {
        row.pk: BatchHeld(row.held_at, str(row.held_by), row.reason) for row in rows
    }


def batches_at_hand(
    *,
    needs: Iterable[Need],
    place: Place | None,
    at: datetime,
    past: datetime | None = None,
    brought: Collection[str] = (),
) -> dict[int, AtHand]:
    """Give the batches that an operation would use, by their materials.

    ``brought`` are the codes of batches that the press itself names, for a tablet
    that had no network when they were scanned; they go before what stands there.
    """
    wanted = {need.material_id for need in needs}
    found: dict[int, AtHand] = {}
    if place and wanted:
        found = batches_at(station_id=place.id, material_ids=wanted, at=at, past=past)
    if brought:
        named = read_batches(which=Q(code__in=brought), past=past)
        found |= {one.material_id: one for one in named if one.material_id in wanted}
    return found


def batch_faults_of(
    *,
    bench: Bench,
    step: StepNow,
    wish: Wish,
    place: Place | None,
    at: datetime,
    hand: Mapping[int, AtHand] | None = None,
) -> tuple[Refusal, ...]:
    """Say what stands against the batches of a step; no query where it uses none.

    ``hand`` are those at hand, where they are known already.
    """
    needs = bench.route.by_id[step.operation_id].batches
    if not needs or wish not in LOOKS or step.state not in ASKED_IN:
        return ()
    if hand is None:
        hand = batches_at_hand(needs=needs, place=place, at=at)
    return batch_faults(needs, hand, day=timezone.localdate(at))


def lock_material(*, material_id: int) -> None:
    """Let nobody else build in a piece of this material meanwhile.

    Two instruments that take one serial number have no row in common to lock.
    """
    Material.objects.select_for_update(no_key=True).get(pk=material_id)


def built_in(*, material_id: int, serial: str) -> tuple[BuiltIn, ...]:
    """Say where a serial number of a material stands as built in."""
    rows = standing_uses().filter(serial=serial, need__material=material_id)
    places: Iterable[tuple[Any, ...]] = rows.order_by("event_id").values_list(
        "event__part__instrument__serial", "event__part_id", "event__step_id"
    )
    return tuple(BuiltIn(*row) for row in places)


def find_batch(*, code: str) -> AtHand | None:
    """Find a batch by the code on its label."""
    return next(iter(read_batches(which=Q(code=code))), None)


def get_batch(*, code: str) -> AtHand:
    """Give the batch of a label, or refuse what is none."""
    batch = find_batch(code=code)
    if batch is None:
        raise Refused(NOT_FOUND)
    return batch


def batches_to_take(
    *, material_ids: Collection[int], today: date
) -> dict[int, list[AtHand]]:
    """Give the newest batches of materials that are good and not held."""
    found: dict[int, list[AtHand]] = defaultdict(list)
    for one in newest_batches(material_ids=material_ids, today=today):
        if one.fault(today) is None and len(found[one.material_id]) < OFFERED:
            found[one.material_id].append(one)
    return found


def newest_batches(*, material_ids: Collection[int], today: date) -> tuple[AtHand, ...]:
    """Give the batches of materials that may still be there, the newest first."""
    since = today - STILL_THERE
    which = Q(material__in=material_ids, received_on__gte=since)
    return read_batches(which=which)[::-1]


def batches_pulse(*, station_id: int) -> str:
    """Name the state of the batches that a station may use; it changes with them."""
    (told,) = _newest_of_batches(station_id)
    return ".".join("" if one is None else str(one) for one in told).replace(" ", "T")


def _asked_of_batches(station_id: int) -> QuerySet[Station, tuple[Any, ...]]:
    came = BatchAtStation.objects.filter(station=OuterRef("pk")).order_by("-pk")
    lifted = BatchHold.objects.filter(lifted_at__isnull=False).order_by("-lifted_at")
    newest = (
        came.values("pk"),
        Batch.objects.order_by("-pk").values("pk"),
        BatchHold.objects.order_by("-pk").values("pk"),
        lifted.values("lifted_at"),
    )
    rows = Station.objects.filter(pk=station_id)
    return rows.values_list(*(Subquery(one[:1]) for one in newest))


# Every tablet asks it again and again.
_newest_of_batches = OftenAsked(_asked_of_batches)


def parts_of_batches(*, batch_ids: Collection[int]) -> Iterable[tuple[int, int]]:
    """Give each batch with each part that was made with it."""
    rows = standing_uses().filter(batch_id__in=batch_ids, event__part__isnull=False)
    return rows.order_by().values_list("batch_id", "event__part_id").distinct()


def batches_of_parts(*, part_ids: Collection[int]) -> Iterable[tuple[int, int]]:
    """Give each part with each batch that it was made with."""
    rows = standing_uses().filter(event__part_id__in=part_ids, batch__isnull=False)
    return rows.order_by().values_list("event__part_id", "batch_id").distinct()


def parts_with_serials(
    *, serials: Collection[tuple[int, str]]
) -> Iterator[tuple[tuple[int, str], int]]:
    """Give each serial number of a material with each part that it was built into."""
    wanted = set(serials)
    rows = standing_uses().filter(
        serial__in={serial for _, serial in wanted}, event__part__isnull=False
    )
    for material, serial, part in (
        rows.order_by()
        .values_list("need__material_id", "serial", "event__part_id")
        .distinct()
    ):
        if (material, serial) in wanted:
            yield (material, serial), part


def serials_of_parts(
    *, part_ids: Collection[int]
) -> Iterator[tuple[int, tuple[int, str]]]:
    """Give each part with the serial numbers that were built into it."""
    rows = standing_uses().filter(event__part_id__in=part_ids).exclude(serial="")
    for part, material, serial in (
        rows.order_by()
        .values_list("event__part_id", "need__material_id", "serial")
        .distinct()
    ):
        yield part, (material, serial)


@dataclass(frozen=True, slots=True)
class Used:
    """What was used of a material: batches by their makers' numbers, or serials."""

    material: str
    numbers: tuple[str, ...]


def used_in(*, instrument_id: int) -> tuple[Used, ...]:
    """Say what an instrument is made with, in the order in which it was first used.

    What went into a part that was scrapped is not in it; what was taken back neither.
    """
    rows = standing_uses().filter(
        event__instrument_id=instrument_id, event__part__scrapped_at__isnull=True
    )
    found: dict[str, dict[str, None]] = {}
    for material, number, serial in rows.order_by("event_id", "pk").values_list(
        "need__material__name", "batch__number", "serial"
    ):
        found.setdefault(material, {})[serial or number] = None
    return tuple(Used(material, tuple(own)) for material, own in found.items())


@dataclass(frozen=True, slots=True)
class BatchNamed:
    """A batch by its number and material."""

    id: int
    code: str
    number: str
    material: str
    received_on: date


def lock_batches(*, codes: Collection[str]) -> tuple[Batch, ...]:
    """Lock batches that are printed, so that two prints do not get one copy."""
    rows = Batch.objects.select_for_update().filter(code__in=codes)
    return tuple(rows.order_by("pk"))


def batches_named(*, batch_ids: Collection[int]) -> tuple[BatchNamed, ...]:
    """Say what batches are called."""
    rows = Batch.objects.filter(pk__in=batch_ids).values_list(
        "pk", "code", "number", "material__name", "received_on"
    )
    return tuple(BatchNamed(*row) for row in rows)


def batch_of(*, text: str) -> int | None:
    """Find a batch by the code on its label or its maker's number, the newest."""
    rows = Batch.objects.filter(Q(code=text) | Q(number__iexact=text))
    found: int | None = rows.order_by("-pk").values_list("pk", flat=True).first()
    return found


def material_of_serial(*, serial: str, material: str = "") -> int | None:
    """Say of which material a serial number is that was built in somewhere."""
    rows = standing_uses().filter(serial=serial)
    if material:
        rows = rows.filter(need__material__code=material)
    found: int | None = (
        rows.order_by("-pk").values_list("need__material_id", flat=True).first()
    )
    return found


def open_batch_holds(*, uuids: Collection[UUID]) -> frozenset[UUID]:
    """Say which of these holds of batches are not lifted."""
    rows = BatchHold.objects.filter(uuid__in=uuids, lifted_at=None)
    return frozenset(rows.values_list("uuid", flat=True))
