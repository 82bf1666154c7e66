"""Which orders are there, what wood suits them, and which parts do they have?"""

from travelers.orders.models import WorkOrder
from travelers.routes.models import WoodNeed
from travelers.routes.rules import Branch


def wood_need(*, model_id: int, branch: Branch) -> WoodNeed | None:
    return WoodNeed.objects.filter(model_id=model_id, branch=branch).first()


def get_order(*, number: str) -> WorkOrder:
    return WorkOrder.objects.select_related("revision__model").get(number=number)
