"""How is it put on record that a rework was looked at and is good?"""

from datetime import datetime

from django.db import transaction

from travelers.kit.faults import tried_again
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.orders.rules import OPEN_STATES
from travelers.quality import queries, rules
from travelers.quality.models import Verification
from travelers.shop.models import Person
from travelers.shop.rules import Role


@tried_again
@transaction.atomic
def verify(*, defect_id: int, by: Person, at: datetime, note: str = "") -> Verification:
    """Write down that QA found good what a rework did, once it is through.

    What is not good is a new defect; nothing is verified then.
    """
    if not by.has(Role.QA):
        raise Refused(NOT_YOUR_ROLE)
    queries.lock_defect(defect_id=defect_id)
    rework = queries.find_rework(defect_id=defect_id)
    if rework is None:
        raise Refused(rules.NOTHING_TO_VERIFY)
    if rework.verified_at:
        raise Refused(
            rules.ALREADY_VERIFIED.about(
                person=rework.verified_by, verified_at=rework.verified_at.isoformat()
            )
        )
    if rework.left:
        open_one = next(one for one in rework.again if one.state in OPEN_STATES)
        raise Refused(rules.NOT_THROUGH.about(operation=open_one.name))
    return Verification.objects.create(
        disposition_id=rework.disposition_id, by=by, verified_at=at, note=note
    )
