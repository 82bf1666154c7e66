"""How is all that came of one thing held in one go, and let go again?"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction

from travelers.floor import actions as floor
from travelers.floor import queries as on_floor
from travelers.floor.rules import Wish
from travelers.kit.refusals import NOT_FOUND, NOT_YOUR_ROLE, Refused
from travelers.lumber.actions import hold_wood, let_wood_go
from travelers.quality import queries, rules
from travelers.quality.models import Contained, Containment
from travelers.shop.models import Person
from travelers.shop.rules import Role

REASON_LENGTH = 200


@dataclass(frozen=True, slots=True)
class Asked:
    """What shall be contained: a thing, and for a gauge the day it was still good."""

    kind: str
    key: str
    since: date | None = None


def contain(
    *,
    asked: Asked,
    reason: str,
    by: Person,
    at: datetime,
    zone: ZoneInfo,
    uuid: UUID,
) -> Containment:
    """Hold all that came of a thing: parts on the floor, wood in the yard, a batch.

    1. QA decides, with a reason; the same press twice is one containment.
    2. What is to be held is written down; wood that is no part, and batches, are held.
    3. Each part is held by an event of its own. What stops in between is made up for
       by pressing again.
    """
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(rules.REASON_MISSING)
    try:
        made = _write_down(asked, reason.strip()[:REASON_LENGTH], by, at, zone, uuid)
    except IntegrityError:
        # The same press twice at once: the other has written it down.
        made = Containment.objects.get(uuid=uuid)
    for row in made.contained.filter(part__isnull=False).select_related("part"):
        floor.record(
            wish=Wish.HOLD,
            code=row.part.code if row.part else "",
            station=None,
            person=by,
            event_id=row.hold_id or uuid,
            at=made.made_at,
            heard_at=at,
            data={"reason": made.reason, "only_part": row.only_part},
        )
    return made


@transaction.atomic
def _write_down(
    asked: Asked, reason: str, by: Person, at: datetime, zone: ZoneInfo, uuid: UUID
) -> Containment:
    known = Containment.objects.filter(uuid=uuid).first()
    if known:
        return known
    start = queries.find_thing(kind=asked.kind, key=asked.key)
    reach = queries.reach_of(start=start, since=asked.since, zone=zone)
    if reach.is_empty:
        raise Refused(rules.NOTHING_TO_CONTAIN)
    made = Containment.objects.create(
        uuid=uuid,
        kind=start.kind,
        thing=start.id,
        key=asked.key,
        name=queries.name_of(thing=start),
        reason=reason,
        by=by,
        made_at=at,
    )
    Contained.objects.bulk_create(_rows(made, reach))
    hold_wood(plank_ids=reach.planks, plank_set_ids=reach.sets, at=at)
    holds = [(_hold_of(made, own), own) for own in reach.batches]
    floor.hold_batches(holds=holds, reason=reason, by=by, at=at)
    return made


def _rows(made: Containment, reach: queries.Reach) -> Iterator[Contained]:
    for one in reach.parts:
        yield Contained(
            containment=made,
            part_id=one.part_id,
            only_part=one.only_part,
            hold_id=uuid5(made.uuid, str(one.part_id)),
        )
    for own in reach.sets:
        yield Contained(containment=made, plank_set_id=own)
    for own in reach.planks:
        yield Contained(containment=made, plank_id=own)
    for own in reach.batches:
        yield Contained(containment=made, batch_id=own, hold_id=_hold_of(made, own))


def _hold_of(made: Containment, batch_id: int) -> UUID:
    return uuid5(made.uuid, f"batch {batch_id}")


def let_go(
    *,
    number: int,
    contained_ids: Collection[int] | None = None,
    reason: str,
    by: Person,
    at: datetime,
) -> int:
    """Let go some of what a containment holds, or all; say how many were let go.

    What another containment still holds stays held.
    """
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(rules.REASON_MISSING)
    made = Containment.objects.filter(pk=number).first()
    if made is None:
        raise Refused(NOT_FOUND)
    rows = made.contained.filter(let_go_at__isnull=True)
    if contained_ids is not None:
        rows = rows.filter(pk__in=contained_ids)
    found = list(rows.select_related("part"))
    _let_wood_go([row for row in found if row.hold_id is None], by, at)
    _let_batches_go([row for row in found if row.batch_id], reason, by, at)
    return sum(_let_part_go(row, reason, by, at) for row in found) + sum(
        row.part is None for row in found
    )


@transaction.atomic
def _let_wood_go(rows: Collection[Contained], by: Person, at: datetime) -> None:
    Contained.objects.filter(pk__in=[row.pk for row in rows]).update(
        let_go_at=at, let_go_by=by
    )
    still = Contained.objects.filter(let_go_at__isnull=True, hold_id__isnull=True)
    held = set(still.values_list("plank_set_id", "plank_id"))
    free = [row for row in rows if (row.plank_set_id, row.plank_id) not in held]
    let_wood_go(
        plank_ids=[row.plank_id for row in free if row.plank_id],
        plank_set_ids=[row.plank_set_id for row in free if row.plank_set_id],
    )


@transaction.atomic
def _let_batches_go(
    rows: Collection[Contained], reason: str, by: Person, at: datetime
) -> None:
    """Lift the holds of batches; one that was lifted by its own page is only noted."""
    holds = {row.hold_id for row in rows if row.hold_id}
    for uuid in on_floor.open_batch_holds(uuids=holds):
        floor.lift_batch_hold(uuid=uuid, reason=reason, by=by, at=at)
    Contained.objects.filter(pk__in=[row.pk for row in rows]).update(
        let_go_at=at, let_go_by=by
    )


def _let_part_go(row: Contained, reason: str, by: Person, at: datetime) -> bool:
    """Lift the hold of a part; where it left the floor there is none to lift."""
    if row.part is None or row.hold_id is None:
        return False
    lifted = False
    if on_floor.is_open_hold(event_id=row.hold_id):
        verdict = floor.record(
            wish=Wish.LIFT,
            code=row.part.code,
            station=None,
            person=by,
            event_id=uuid5(row.hold_id, "lift"),
            at=at,
            heard_at=at,
            data={"hold": str(row.hold_id), "reason": reason},
        )
        if verdict.refusal:
            raise Refused(verdict.refusal)
        lifted = True
    Contained.objects.filter(pk=row.pk).update(let_go_at=at, let_go_by=by)
    return lifted
