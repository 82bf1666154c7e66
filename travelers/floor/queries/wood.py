"""Is the wood of a part too wet or unread for a wish, or did it lie too long?"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from string import ascii_uppercase

from travelers.floor.models import Reading
from travelers.floor.rules.bench import Bench, StepNow
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import State, Wish
from travelers.floor.rules.wood import lay_open, not_dry
from travelers.formulas.drying import days_until_above
from travelers.formulas.wood import equilibrium_moisture_pct
from travelers.kit.refusals import Refusal
from travelers.lumber import queries as lumber
from travelers.lumber.rules import (
    METER_KIND,
    Dryness,
    LastRead,
    Movement,
    dryness,
    movement,
)
from travelers.orders.models import Step
from travelers.routes.rules import Joins, OperationKind
from travelers.shop.queries import workshop_air


@dataclass(frozen=True, slots=True)
class Stay:
    """A part's stay in a room for wood, and the limit there."""

    room_id: int
    limit_pct: Decimal
    since: datetime


def wood_fault(
    *, bench: Bench, step: StepNow, wish: Wish, place: Place | None, at: datetime
) -> Refusal | None:
    """Say why the wood of one step's part stops a wish; None where it does not.

    Wood leaves a room when its worst piece is below the room's limit and was read
    lately; it is glued when it did not lie in the workshop's air for too long.
    """
    if wish is Wish.TAKE_OUT:
        leaving = [(bench, step)]
        return wood_faults(leaving=leaving, place=place, at=at).get(step.id)
    glues = bench.route.by_id[step.operation_id].joins is Joins.PIECES
    if wish is not Wish.START or not glues:
        return None
    own = bench.part(step.part_id).plank_set_id
    return None if own is None else _lay_open(own, step.part_id, at)


def wood_faults(
    *, leaving: Iterable[tuple[Bench, StepNow]], place: Place | None, at: datetime
) -> dict[int, Refusal]:
    """Say of all parts that shall leave a room at once what stops each, by step."""
    if place is None or place.limit_pct is None:
        return {}
    sets = {
        step.id: (bench.part(step.part_id).plank_set_id or 0, step)
        for bench, step in leaving
        if step.state is State.DWELLING
        and bench.route.by_id[step.operation_id].kind is OperationKind.HOLD
        and bench.part(step.part_id).plank_set_id
    }
    dry = _drynesses({step.part_id: own for own, step in sets.values()}, at)
    found = {
        step_id: not_dry(
            dry.get(step.part_id),
            limit_pct=place.limit_pct,
            since=step.started_at,
            at=at,
        )
        for step_id, (_, step) in sets.items()
    }
    return {step_id: one for step_id, one in found.items() if one}


def keeps_until(*, plank_set_id: int, part_id: int) -> datetime | None:
    """Say until when dried wood keeps below its limit in the workshop's air.

    None where it never lay in a room, was not read, or keeps for good.
    """
    stay = _last_stay(part_id)
    own = _drynesses({part_id: plank_set_id}).get(part_id)
    keeps = _keeps(plank_set_id, stay, own) if stay else None
    return None if keeps is None or own is None else own.read_at + keeps


def still_moves(
    *, plank_set_id: int, part_id: int, size_mm: Decimal
) -> Movement | None:
    """Say how a size across the grain changes until the part's wood is dry.

    None where it is dry, was not read, or its species has no published coefficients.
    """
    own = _drynesses({part_id: plank_set_id}).get(part_id)
    limit = lumber.driest_limit()
    if own is None or limit is None or own.worst_pct < limit:
        return None
    species = lumber.handbook_name(plank_set_id=plank_set_id)
    return movement(species, float(size_mm), float(own.worst_pct), float(limit))


def _lay_open(plank_set_id: int, part_id: int, at: datetime) -> Refusal | None:
    stay = _last_stay(part_id)
    if stay is None:
        return None
    own = _drynesses({part_id: plank_set_id}, at).get(part_id)
    keeps = _keeps(plank_set_id, stay, own)
    return lay_open(own, limit_pct=stay.limit_pct, keeps=keeps, at=at)


def _drynesses(
    sets: Mapping[int, int], until: datetime | None = None
) -> dict[int, Dryness]:
    """Say how dry the wood of parts is, by part; ``sets`` is the set of each.

    What was read at a bench, as a check of an operation, counts like a reading of the
    set; of both the later decides.
    """
    read = lumber.drynesses(plank_set_ids=set(sets.values()), until=until)
    found = {part: read[own] for part, own in sets.items() if own in read}
    for part, benched in _at_benches(sets, until).items():
        own = found.get(part)
        if own is None or benched.read_at > own.read_at:
            found[part] = benched
    return found


def _at_benches(sets: Mapping[int, int], until: datetime | None) -> dict[int, Dryness]:
    """Give what checks with a moisture meter said last of each part, place by place.

    With fewer places than the set has pieces they do not say what its worst piece is.
    """
    rows = Reading.objects.filter(
        event__part_id__in=sets,
        characteristic__gauge_kind=METER_KIND,
        # What was taken back was never read.
        event__corrected_by__isnull=True,
    )
    if until:
        rows = rows.filter(event__happened_at__lte=until)
    last: dict[int, dict[str, LastRead]] = {}
    for part_id, place, value, read_at in rows.order_by("pk").values_list(
        "event__part_id", "place", "value", "event__happened_at"
    ):
        letter = ascii_uppercase[(place - 1) % len(ascii_uppercase)]
        last.setdefault(part_id, {})[letter] = LastRead(letter, value, read_at)
    pieces = lumber.pieces_of(plank_set_ids=[sets[part] for part in last])
    found = {
        part: dryness(some, some.values())
        for part, some in last.items()
        if len(some) >= pieces[sets[part]]
    }
    return {part: one for part, one in found.items() if one}


def _last_stay(part_id: int) -> Stay | None:
    """Find the last stay of a part in a room for wood."""
    row = (
        Step.objects.filter(
            part_id=part_id, state=State.DONE, station__room__isnull=False
        )
        .order_by("-finished_at")
        .values_list("station__room", "station__room__limit_pct", "started_at")
        .first()
    )
    if row is None or row[2] is None:
        return None
    return Stay(row[0], row[1], row[2])


def _keeps(plank_set_id: int, stay: Stay, own: Dryness | None) -> timedelta | None:
    """Say how long wood keeps, as fast as it dried itself in its last stay."""
    if own is None or own.worst_pct >= stay.limit_pct:
        return None
    rate = lumber.own_rate_per_day(
        plank_set_id=plank_set_id, room_id=stay.room_id, since=stay.since
    )
    warm, damp = workshop_air()
    days = days_until_above(
        float(stay.limit_pct),
        float(own.worst_pct),
        equilibrium_moisture_pct(float(warm), float(damp)),
        rate,
    )
    return None if days is None else timedelta(days=days)
