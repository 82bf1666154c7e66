"""How does a lead take something back with all that was built on it?"""

from collections.abc import Collection
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction

from travelers.floor import queries
from travelers.floor.actions.door import record
from travelers.floor.actions.ledger import Verdict
from travelers.floor.queries import Undoing
from travelers.floor.rules.machine import Wish
from travelers.kit.faults import tried_again
from travelers.kit.refusals import Refused
from travelers.shop.models import Person


@tried_again
@transaction.atomic
def take_back(  # noqa: PLR0913 - what, with what else, by whom, why and when
    *,
    tag: str,
    target_id: UUID,
    seen: Collection[str],
    person: Person,
    reason: str,
    event_id: UUID,
    at: datetime,
    heard_at: datetime,
) -> Verdict:
    """Take back an event of the instrument that ``tag`` hangs on, and what hangs on it.

    1. Lock the instrument, so that nothing more is built on it meanwhile.
    2. Take back what hangs on it, newest first, each by an event of its own; but
       only if the person has ``seen`` all of it and all of it may go.
    3. Take back the event itself, or hear from the ledger why not.
    """
    found = _locked(tag, target_id)
    told = {"person": person, "station": None, "at": at, "heard_at": heard_at}
    hanging = found.hanging if found and not found.never else ()
    if {one.event_id for one in hanging} <= set(seen):
        for one in hanging:
            verdict = record(
                wish=Wish.UNDO,
                step_id=one.step_id,
                event_id=uuid5(event_id, one.event_id),
                data={"event": one.event_id, "reason": reason, "with": str(target_id)},
                **told,  # type: ignore[arg-type]
            )
            if verdict.refusal:
                raise Refused(verdict.refusal)
    return record(
        wish=Wish.UNDO,
        code=tag,
        event_id=event_id,
        data={"event": str(target_id), "reason": reason},
        **told,  # type: ignore[arg-type]
    )


def _locked(tag: str, target_id: UUID) -> Undoing | None:
    found = queries.find_bench(code=tag, lock=True)
    if found is None:
        return None
    return queries.find_undoing(
        instrument_id=found.instrument_id, event_id=str(target_id)
    )
