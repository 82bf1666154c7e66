"""How is a part that was scrapped made anew, and how does it get its wood?"""

from datetime import datetime

from travelers.kit.refusals import Refusal, Refused
from travelers.lumber.models import PlankSet
from travelers.orders.actions.making import lock_sets, refuse_unsuited
from travelers.orders.actions.release import places_of, steps_of
from travelers.orders.models import Allotment, Part, Step
from travelers.routes import queries as routes
from travelers.shop.actions import take_codes


def make_instead(*, part_id: int, at: datetime) -> Part:
    """Close a part for good and make another in its stead, by the same route.

    The caller holds the instrument's lock, and says of the steps what became ready.
    """
    old = Part.objects.select_related("instrument").get(pk=part_id)
    Part.objects.filter(pk=part_id).update(
        scrapped_at=at, stage=None, look=None, since=None
    )
    new = Part.objects.create(
        instrument=old.instrument,
        branch=old.branch,
        code=take_codes(kind="P", count=1)[0],
        wants_wood=old.wants_wood or old.plank_set_id is not None,
        instead_of=old,
    )
    revision_id = old.instrument.revision_id
    route = routes.released_route(revision_id=revision_id)
    Step.objects.bulk_create(steps_of(new, route, places_of(revision_id), None))
    return new


def look_at_wood(*, part_id: int, plank_set_id: int) -> Refusal | None:
    """Lock a set, and say why it cannot be the wood of a part that wants some."""
    part = _wanting(part_id)
    needs = part.instrument.revision.model.wood_needs.filter(branch=part.branch)
    pieces = needs.values_list("pieces", flat=True).first() or 0
    try:
        plank_set = lock_sets([plank_set_id])[0]
        refuse_unsuited(plank_set, part.branch, pieces)
    except Refused as fault:
        return fault.refusal
    return None


def give_wood(*, part_id: int, plank_set_id: int) -> PlankSet:
    """Allot a set to a part that is made anew; what it was before stays promised.

    The caller holds the instrument's lock and has looked at the wood.
    """
    part = _wanting(part_id)
    one = part.instrument
    before = Allotment.objects.filter(
        order_id=one.order_id, branch=part.branch, position=one.position
    )
    row = Allotment.objects.create(
        order_id=one.order_id,
        branch=part.branch,
        position=one.position,
        plank_set_id=plank_set_id,
        turn=1 + max(before.values_list("turn", flat=True), default=-1),
    )
    Part.objects.filter(pk=part_id).update(plank_set=row.plank_set, wants_wood=False)
    return row.plank_set


def _wanting(part_id: int) -> Part:
    return Part.objects.select_related("instrument__revision__model").get(pk=part_id)
