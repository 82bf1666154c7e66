"""How does what stood on paper get into the ledger, each line once?"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from travelers.floor import actions as floor
from travelers.floor import queries as on_floor
from travelers.floor.rules import Wish
from travelers.floor.rules.origin import Origin, Source
from travelers.kit.refusals import Refusal, Refused
from travelers.paper.rules.deeds import MIDDLE, Deed, Told
from travelers.quality.actions import report_defect
from travelers.quality.rules import Severity
from travelers.routes.rules import Branch
from travelers.shop.models import Person


def enter_deeds(
    *,
    sheet_id: UUID,
    deeds: Iterable[Deed],
    people: Mapping[int, Person],
    entered_by: Person,
    heard_at: datetime,
) -> list[Told]:
    """Record what a traveler says, in order of time, each deed by itself.

    1. Each is judged at the time that was written, as done by whoever wrote it.
    2. What is refused stops what follows in its branch, and no other branch.
    3. A deed has its number from the sheet it was typed into: sent again, it gets
       its first answer and does nothing twice.
    """
    origin = Origin(source=Source.PAPER, entered_by_id=entered_by.pk)
    told: list[Told] = []
    stopped: set[Branch] = set()
    for deed in sorted(deeds, key=lambda deed: (deed.at, deed.order)):
        if deed.branch in stopped:
            told.append(Told(deed, waits=True))
            continue
        refusal = _enter(deed, sheet_id, people[deed.person_id], origin, heard_at)
        if refusal:
            stopped.add(deed.branch)
        told.append(Told(deed, refusal))
    return told


def let_pass(
    *, sheet_id: UUID, passes: Iterable[Deed], by: Person, at: datetime
) -> list[Told]:
    """Let gates pass once, as decided now by who types the traveler in."""
    return [
        Told(deed, _enter(deed, sheet_id, by, Origin(), at))
        for deed in passes
        if deed.wish is Wish.ALLOW
    ]


def _enter(
    deed: Deed, sheet_id: UUID, person: Person, origin: Origin, heard_at: datetime
) -> Refusal | None:
    told: dict[str, Any] = {
        "step_id": deed.step_id,
        "station": on_floor.find_place(code=deed.station) if deed.station else None,
        "person": person,
        "event_id": deed.event_id(sheet_id),
        "at": deed.at,
        "heard_at": heard_at,
        "origin": origin,
    }
    try:
        if deed.wish is Wish.DEFECT:
            return report_defect(
                kind_code=deed.said["kind"],
                severity=Severity(deed.said["severity"]),
                note=deed.said["note"],
                x=Decimal(MIDDLE),
                y=Decimal(MIDDLE),
                **told,
            ).refusal
        return floor.record(wish=deed.wish, data=dict(deed.said), **told).refusal
    except Refused as no:
        return no.refusal
