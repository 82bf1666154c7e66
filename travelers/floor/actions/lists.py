"""How do many parts go in or come out at once, each a deed of its own?"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from travelers.floor.actions.door import record
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import Wish
from travelers.floor.rules.origin import FROM_A_SCREEN, Origin
from travelers.kit.refusals import Refusal, Refused
from travelers.shop.models import Person


@dataclass(frozen=True, slots=True)
class Going:
    """One part of a list: its step as the screen showed it, and its event's id.

    ``number`` is the tablet's own count of it, where one keeps its presses.
    """

    code: str
    step_id: int
    event_id: UUID
    number: int | None = None


@dataclass(frozen=True, slots=True)
class Gone:
    """What became of one part of a list."""

    code: str
    refusal: Refusal | None = None


def record_several(  # noqa: PLR0913 - a list's parts, and who sends them from where
    *,
    wish: Wish,
    going: Sequence[Going],
    load: UUID,
    station: Place,
    person: Person,
    at: datetime,
    heard_at: datetime,
    origin: Origin = FROM_A_SCREEN,
) -> list[Gone]:
    """Record a wish for each part of a list, in an event and a transaction of its own.

    Sent again after a lost answer it does nothing twice, since each part keeps its
    event's id; one that is refused meanwhile does not stop the others.
    """
    said = {"load": str(load)} if wish is Wish.LOAD else {}
    gone = []
    for one in going:
        try:
            verdict = record(
                wish=wish,
                code=one.code,
                step_id=one.step_id,
                station=station,
                person=person,
                event_id=one.event_id,
                at=at,
                heard_at=heard_at,
                data=said,
                origin=replace(origin, number=one.number),
            )
        except Refused as no:
            gone.append(Gone(one.code, no.refusal))
        else:
            gone.append(Gone(one.code, verdict.refusal))
    return gone
