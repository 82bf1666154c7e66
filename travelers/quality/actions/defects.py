"""How does a defect get on record, and how is it decided?"""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from travelers.floor import actions as floor
from travelers.floor import queries as on_floor
from travelers.floor.actions import Verdict
from travelers.floor.rules import Wish
from travelers.floor.rules.facts import Place
from travelers.floor.rules.origin import FROM_A_SCREEN, Origin
from travelers.kit.faults import tried_again
from travelers.kit.keeping import drop_files
from travelers.kit.photos import Photo
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.orders.rules import InstrumentState
from travelers.quality import queries, rules
from travelers.quality.actions.photos import keep_photos
from travelers.quality.models import Defect, Disposition
from travelers.quality.rules import Decision, Severity
from travelers.shop.models import Person
from travelers.shop.rules import Role

# The disposition keeps this many characters of a reason; the ledger all of them.
REASON_LENGTH = 200
THOUSANDTH = Decimal("0.001")
# What is off the floor then: the instrument, or the part alone.
GONE = {Decision.SCRAP: Wish.SCRAP, Decision.REPLACE: Wish.REPLACE}


@tried_again
def report_defect(  # noqa: PLR0913 - what a defect is, and who found it where
    *,
    step_id: int,
    station: Place | None,
    person: Person,
    event_id: UUID,
    at: datetime,
    heard_at: datetime,
    kind_code: str,
    x: Decimal,
    y: Decimal,
    severity: Severity,
    note: str = "",
    photos: Sequence[Photo] = (),
    origin: Origin = FROM_A_SCREEN,
) -> Verdict:
    """Record a defect of the part that ``step_id`` works on.

    1. The kind must be one that is found on such a part at such a stage.
    2. The ledger accepts it, refuses it, or has heard it before; it names the
       photos by their digests.
    3. A new one gets its row and its photos; one that says stop holds the part.

    ``x`` and ``y`` are shares of the outline's width and height.
    """
    kind = queries.find_kind(step_id=step_id, code=kind_code)
    if kind is None:
        raise Refused(rules.KIND_NOT_HERE)
    x, y = x.quantize(THOUSANDTH), y.quantize(THOUSANDTH)
    told: dict[str, Any] = {
        "step_id": step_id,
        "station": station,
        "person": person,
        "at": at,
        "heard_at": heard_at,
        "origin": origin,
    }
    row = Defect(
        part_id=kind.part_id,
        step_id=step_id,
        kind_id=kind.id,
        severity=severity,
        x=x,
        y=y,
        note=note,
    )
    said = {"kind": kind.code, "x": str(x), "y": str(y), "severity": severity}
    told["data"] = {**said, **_digests(photos), "note": note}
    files: list[Path] = []
    try:
        with transaction.atomic():
            return _report(
                row, kind.name, photos, files, {**told, "event_id": event_id}
            )
    except BaseException:
        drop_files(files)
        raise


def _digests(photos: Sequence[Photo]) -> dict[str, list[str]]:
    return {"photos": [photo.sha256 for photo in photos]} if photos else {}


def _report(
    row: Defect,
    kind_name: str,
    photos: Sequence[Photo],
    files: list[Path],
    told: dict[str, Any],
) -> Verdict:
    verdict = floor.record(wish=Wish.DEFECT, **told)
    if not verdict.accepted or verdict.repeated:
        return verdict
    row.event_id = verdict.seq
    row.save(force_insert=True)
    keep_photos(defect=row, photos=photos, files=files)
    if row.severity == Severity.STOP:
        del told["data"]
        _hold_part(told.pop("event_id"), kind_name, told)
    return verdict


def _hold_part(event_id: UUID, reason: str, told: dict[str, Any]) -> None:
    _refuse_refused(
        floor.record(
            wish=Wish.HOLD,
            event_id=rules.hold_id_of(event_id),
            data={"reason": reason, "only_part": True},
            **told,
        )
    )


@tried_again
@transaction.atomic
def decide(
    *,
    defect_id: int,
    decision: Decision,
    by: Person,
    at: datetime,
    reason: str,
    from_operation_id: int | None = None,
) -> Disposition:
    """Decide what becomes of a defect, once and for good.

    1. Only QA decides, with a reason, and what was not decided before.
    2. The hold that the defect placed is lifted.
    3. Rework puts the operations from ``from_operation_id`` to where the part
       is into its way once more; scrap takes the instrument off the floor; what is
       replaced is closed, and made anew.
    """
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    if not reason.strip():
        raise Refused(rules.REASON_MISSING)
    defect = queries.lock_defect(defect_id=defect_id)
    _refuse_decided(defect)
    told = {"person": by, "at": at, "heard_at": at, "station": None}
    _lift_own_hold(defect, reason, told)
    event = None
    if decision is Decision.REWORK:
        event = _rework(defect, from_operation_id, reason, told)
    elif decision in GONE:
        event = _scrap(defect, GONE[decision], reason, told)
    return Disposition.objects.create(
        defect=defect,
        decision=decision,
        by=by,
        decided_at=at,
        reason=reason[:REASON_LENGTH],
        event_id=event.seq if event else None,
    )


def _refuse_decided(defect: Defect) -> None:
    decided = Disposition.objects.filter(defect=defect).select_related("by").first()
    if decided:
        raise Refused(
            rules.ALREADY_DECIDED.about(
                decided_at=decided.decided_at.isoformat(), person=str(decided.by)
            )
        )


def _lift_own_hold(defect: Defect, reason: str, told: dict[str, Any]) -> None:
    """Lift the hold that the defect placed, unless somebody has lifted it."""
    hold_id = rules.hold_id_of(defect.event.event_id)
    open_still = on_floor.is_open_hold(event_id=hold_id)
    if not open_still or defect.part.instrument.state != InstrumentState.OPEN:
        return
    _refuse_refused(
        floor.record(
            wish=Wish.LIFT,
            step_id=defect.step_id,
            event_id=uuid5(defect.event.event_id, "lift"),
            data={"hold": str(hold_id), "reason": reason},
            **told,
        )
    )


def _rework(
    defect: Defect, from_id: int | None, reason: str, told: dict[str, Any]
) -> Verdict:
    here = queries.stands_at(defect=defect, lock=True)
    operations = here.again_from(from_id)
    if not operations:
        raise Refused(rules.NOT_A_WAY_BACK.about(operation=here.name_of(from_id)))
    return _refuse_refused(
        floor.record(
            wish=Wish.REWORK,
            step_id=here.step_id,
            event_id=uuid5(defect.event.event_id, "rework"),
            data={
                "operations": list(operations),
                "reason": reason,
                "defect": str(defect.event.event_id),
            },
            **told,
        )
    )


def _scrap(defect: Defect, wish: Wish, reason: str, told: dict[str, Any]) -> Verdict:
    return _refuse_refused(
        floor.record(
            wish=wish,
            step_id=queries.stands_at(defect=defect, lock=True).step_id,
            event_id=uuid5(defect.event.event_id, wish.lower()),
            data={"reason": reason, "defect": str(defect.event.event_id)},
            **told,
        )
    )


def _refuse_refused(verdict: Verdict) -> Verdict:
    """Undo all of a verb when the ledger refuses a part of it."""
    if verdict.refusal:
        raise Refused(verdict.refusal)
    return verdict
