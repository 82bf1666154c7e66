"""How is an order made, and how does it get its wood?"""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from travelers.kit.refusals import Refused
from travelers.lumber.models import PlankSet
from travelers.orders import queries, rules
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


@transaction.atomic
def allot(*, order_id: int, plank_set_id: int) -> Allotment:
    """Promise a plank set to the next instrument of an order that lacks one."""
    order = lock_order(order_id=order_id)
    plank_set = (
        PlankSet.objects.select_for_update()
        .prefetch_related("pieces")
        .get(pk=plank_set_id)
    )
    taken = (
        Allotment.objects.filter(plank_set=plank_set).select_related("order").first()
    )
    if taken:
        raise Refused(
            rules.SET_TAKEN.about(set=plank_set.number, order=taken.order.number)
        )
    branch = Branch(plank_set.purpose)
    _refuse_unsuited(order, plank_set, branch)
    held = set(
        order.allotments.filter(branch=branch).values_list("position", flat=True)
    )
    free = [place for place in range(1, order.quantity + 1) if place not in held]
    if not free:
        raise Refused(
            rules.ENOUGH_WOOD.about(order=order.number, branch_word=str(branch))
        )
    return Allotment.objects.create(
        order=order, branch=branch, position=free[0], plank_set=plank_set
    )


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


def _refuse_unsuited(order: WorkOrder, plank_set: PlankSet, branch: Branch) -> None:
    need = queries.wood_need(model_id=order.revision.model_id, branch=branch)
    pieces = len(plank_set.pieces.all())
    if need is None or need.pieces != pieces:
        raise Refused(
            rules.SET_DOES_NOT_SUIT.about(
                set=plank_set.number,
                purpose_word=plank_set.purpose,
                pieces=str(pieces),
                needed=str(need.pieces if need else 0),
                branch_word=str(branch),
            )
        )
