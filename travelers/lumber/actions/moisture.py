"""How is the moisture of wood written down?"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from travelers.kit.refusals import Refused
from travelers.lumber import queries, rules
from travelers.lumber.models import MoistureReading, PlankSet
from travelers.lumber.rules import Metering, Method, Pin, Sample
from travelers.shop.models import Gauge, Person
from travelers.shop.queries import overdue_gauges
from travelers.shop.rules import OverdueGauges, is_out


@transaction.atomic
def read_moisture(
    *,
    plank_set_id: int,
    how: Metering,
    pins: Sequence[Pin],
    by: Person,
    at: datetime,
    sure: bool = False,
) -> list[MoistureReading]:
    """Write down what a meter showed in the pieces of a set; all or none.

    1. Refuse what cannot be: the gauge, the warmth, the values, the moment.
    2. Correct by the species' table and the warmth.
    3. Ask about what may be a slip, unless somebody is ``sure``.
    """
    plank_set = _locked(plank_set_id, how.read_at, at)
    if not pins:
        raise Refused(rules.NOTHING_READ)
    gauge = Gauge.objects.get(pk=how.gauge_id)
    in_calibration = _judge_gauge(gauge, how.read_at)
    if doubt := rules.not_so_warm(how.wood_c):
        raise Refused(doubt)
    for pin in pins:
        if doubt := rules.not_shown(pin.shown_pct):
            raise Refused(doubt)
    table = queries.corrections(species_id=plank_set.plank.delivery.species_id)
    rows = [
        MoistureReading(
            piece_id=pin.piece_id,
            point=pin.point,
            read_at=how.read_at,
            method=Method.METER,
            gauge=gauge,
            in_calibration=in_calibration,
            shown_pct=pin.shown_pct,
            wood_c=how.wood_c,
            moisture_pct=rules.metered(pin.shown_pct, how.wood_c, table),
            person=by,
        )
        for pin in pins
    ]
    return _write(plank_set, rows, sure=sure)


@transaction.atomic
def weigh_sample(
    *,
    plank_set_id: int,
    sample: Sample,
    by: Person,
    at: datetime,
    sure: bool = False,
) -> MoistureReading:
    """Write down what a sample of a piece weighed before and after the oven."""
    plank_set = _locked(plank_set_id, sample.read_at, at)
    if doubt := rules.not_weighed(sample.wet_mass_g, sample.dry_mass_g):
        raise Refused(doubt)
    row = MoistureReading(
        piece_id=sample.piece_id,
        point=rules.MOST_POINTS,
        read_at=sample.read_at,
        method=Method.OVEN,
        wet_mass_g=sample.wet_mass_g,
        dry_mass_g=sample.dry_mass_g,
        moisture_pct=rules.by_oven(sample.wet_mass_g, sample.dry_mass_g),
        person=by,
    )
    return _write(plank_set, [row], sure=sure)[0]


def _locked(plank_set_id: int, read_at: datetime, at: datetime) -> PlankSet:
    if read_at > at:
        raise Refused(rules.IN_THE_FUTURE.about(read_at=read_at.isoformat()))
    rows = PlankSet.objects.select_for_update(of=("self",))
    return rows.select_related("plank__delivery").get(pk=plank_set_id)


def _judge_gauge(gauge: Gauge, read_at: datetime) -> bool:
    """Refuse what is no meter, or one that is overdue where the shop wants that."""
    if gauge.kind != rules.METER_KIND:
        kind = gauge.kind.replace("_", " ")
        raise Refused(rules.NOT_A_METER.about(gauge=gauge.name, kind=kind))
    day = timezone.localdate(read_at)
    in_calibration = not is_out(gauge.due_on, gauge.bad_since, day=day, at=read_at)
    if not in_calibration and overdue_gauges() is OverdueGauges.REFUSE:
        if gauge.due_on >= day and gauge.bad_since:
            found_at = gauge.bad_since.isoformat()
            raise Refused(rules.METER_BAD.about(gauge=gauge.name, found_at=found_at))
        due = gauge.due_on.isoformat()
        raise Refused(rules.METER_OVERDUE.about(gauge=gauge.name, due=due))
    return in_calibration


def _write(
    plank_set: PlankSet, rows: list[MoistureReading], *, sure: bool
) -> list[MoistureReading]:
    pieces = dict(plank_set.pieces.values_list("pk", "letter"))
    if any(row.piece_id not in pieces for row in rows):
        raise Refused(rules.NOT_OF_THE_SET.about(set=plank_set.number))
    known = _known(rows)
    for row in rows:
        before = known.get((row.piece_id, row.point))
        if before and not _same(before, row):
            raise Refused(
                rules.MOISTURE_KNOWN.about(
                    piece=pieces[row.piece_id],
                    point=str(row.point),
                    read_at=row.read_at.isoformat(),
                )
            )
    fresh = [row for row in rows if (row.piece_id, row.point) not in known]
    if fresh and not sure:
        last = queries.last_read(plank_set_id=plank_set.pk)
        for doubt in rules.doubts(_worst(fresh), last, fresh[0].read_at):
            raise Refused(doubt)
    MoistureReading.objects.bulk_create(fresh)
    return [known.get((row.piece_id, row.point), row) for row in rows]


def _known(
    rows: Sequence[MoistureReading],
) -> Mapping[tuple[int, int], MoistureReading]:
    """Find what was read of these pieces at this very moment already."""
    found = MoistureReading.objects.filter(
        piece_id__in={row.piece_id for row in rows}, read_at=rows[0].read_at
    )
    return {(row.piece_id, row.point): row for row in found}


def _same(before: MoistureReading, row: MoistureReading) -> bool:
    def told(one: MoistureReading) -> tuple[Any, ...]:
        return (one.method, one.gauge_id, one.shown_pct, one.wood_c, one.moisture_pct)

    return told(before) == told(row)


def _worst(rows: Sequence[MoistureReading]) -> dict[int, Decimal]:
    worst: dict[int, Decimal] = {}
    for row in rows:
        worst[row.piece_id] = max(row.moisture_pct, worst.get(row.piece_id, Decimal(0)))
    return worst
