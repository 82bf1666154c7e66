"""How is an order made, and how does it get its wood?"""

from collections.abc import Iterable, Sequence
from datetime import date, datetime

from django.db import IntegrityError, transaction

from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber.models import PlankSet
from travelers.orders import rules
from travelers.orders.models import Allotment, WorkOrder
from travelers.routes import queries as routes
from travelers.routes.models import InstrumentModel
from travelers.routes.rules import Branch
from travelers.shop.models import Person


@transaction.atomic
def make_order(  # noqa: PLR0913 - what an order says
    *,
    number: str,
    model_id: int,
    finish: str,
    quantity: int,
    due_on: date,
    priority: int = 5,
    note: str = "",
    by: Person,
    at: datetime,
) -> WorkOrder:
    """Make an order by the model's released route."""
    revision = routes.find_released(model_id=model_id)
    if revision is None:
        model = InstrumentModel.objects.get(pk=model_id)
        raise Refused(rules.NO_RELEASED_ROUTE.about(model=model.name))
    try:
        with transaction.atomic():
            return WorkOrder.objects.create(
                number=number,
                revision=revision,
                finish=finish,
                note=note,
                quantity=quantity,
                due_on=due_on,
                priority=priority,
                made_at=at,
                made_by=by,
            )
    except IntegrityError as fault:
        raise Refused(rules.ORDER_NUMBER_TAKEN.about(order=number)) from fault


def allot(*, order_id: int, plank_set_id: int) -> Allotment:
    """Promise a plank set to the next instrument of an order that lacks one."""
    return allot_sets(order_id=order_id, plank_set_ids=[plank_set_id])[0]


@transaction.atomic
def allot_sets(*, order_id: int, plank_set_ids: Sequence[int]) -> list[Allotment]:
    """Promise several sets, each to the next instrument that lacks one, or none.

    1. Lock the order and the sets; a set must be free.
    2. Each set must suit the model, and have an instrument that lacks one.
    """
    order = lock_order(order_id=order_id)
    if not plank_set_ids:
        raise Refused(rules.NOTHING_CHOSEN.about(order=order.number))
    sets = lock_sets(plank_set_ids)
    needs = {need.branch: need.pieces for need in order.revision.model.wood_needs.all()}
    for plank_set in sets:
        purpose = plank_set.purpose
        refuse_unsuited(plank_set, purpose, needs.get(purpose, 0))
    free = _free_places(order)
    made = []
    for plank_set in sets:
        branch = Branch(plank_set.purpose)
        if not free[branch]:
            raise Refused(
                rules.ENOUGH_WOOD.about(order=order.number, branch_word=str(branch))
            )
        place = free[branch].pop(0)
        made.append(
            Allotment(order=order, branch=branch, position=place, plank_set=plank_set)
        )
    return Allotment.objects.bulk_create(made)


@transaction.atomic
def take_back(*, order_id: int, plank_set_id: int) -> None:
    """Free a set again while the order is not released."""
    order = lock_order(order_id=order_id)
    Allotment.objects.filter(order=order, plank_set_id=plank_set_id).delete()


def lock_order(*, order_id: int) -> WorkOrder:
    """Lock an order that is still open to change."""
    order = (
        WorkOrder.objects.select_for_update(of=("self",))
        .select_related("revision__model", "released_by")
        .get(pk=order_id)
    )
    if order.released_at:
        raise Refused(
            rules.ALREADY_RELEASED.about(
                order=order.number,
                person=str(order.released_by),
                released_at=order.released_at.isoformat(),
            )
        )
    return order


def lock_sets(plank_set_ids: Sequence[int]) -> list[PlankSet]:
    """Lock sets that are free, in the order in which they are named."""
    rows = {
        row.pk: row
        for row in PlankSet.objects.select_for_update()
        .filter(pk__in=plank_set_ids)
        .prefetch_related("pieces")
        .order_by("id")
    }
    if any(pk not in rows for pk in plank_set_ids):
        raise Refused(NOT_FOUND)
    taken = (
        Allotment.objects.filter(plank_set__in=rows)
        .select_related("order", "plank_set")
        .order_by("id")
        .first()
    )
    if taken:
        raise Refused(
            rules.SET_TAKEN.about(set=taken.plank_set.number, order=taken.order.number)
        )
    refuse_held(rows.values())
    return [rows[pk] for pk in dict.fromkeys(plank_set_ids)]


def refuse_held(plank_sets: Iterable[PlankSet]) -> None:
    """Refuse wood that QA holds: what is wrong with its plank may be wrong with it."""
    for one in plank_sets:
        if one.held_since:
            raise Refused(
                rules.SET_HELD.about(
                    set=one.number, since_at=one.held_since.isoformat()
                )
            )


def refuse_unsuited(plank_set: PlankSet, branch: str, needed: int) -> None:
    """Refuse wood of another branch, or of more or fewer pieces than are needed."""
    pieces = len(plank_set.pieces.all())
    if plank_set.purpose != branch or pieces != needed:
        raise Refused(
            rules.SET_DOES_NOT_SUIT.about(
                set=plank_set.number,
                purpose_word=plank_set.purpose,
                pieces=str(pieces),
                needed=str(needed),
                branch_word=branch,
            )
        )


def _free_places(order: WorkOrder) -> dict[Branch, list[int]]:
    held = set(order.allotments.values_list("branch", "position"))
    return {
        branch: [
            place
            for place in range(1, order.quantity + 1)
            if (branch, place) not in held
        ]
        for branch in (Branch.BODY, Branch.NECK)
    }
