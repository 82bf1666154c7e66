"""How are the planned orders made, given their wood and released?"""

from datetime import date, datetime

from travelers.demo.actions.setting_up import Shop
from travelers.demo.actions.wood import Yard
from travelers.demo.rules.chances import Chances
from travelers.demo.rules.crew import PLANNERS
from travelers.demo.rules.plan import Planned
from travelers.orders.actions import make_order, release_order
from travelers.orders.models import Instrument, Part
from travelers.routes.models import InstrumentModel


class Office:
    """Where orders are made and released."""

    def __init__(self, shop: Shop, chances: Chances) -> None:
        self._shop = shop
        self._chances = chances
        self._yard = Yard()
        self._models = {model.code: model.pk for model in InstrumentModel.objects.all()}

    def make(self, planned: Planned) -> int:
        """Make an order and allot its wood, if it gets any; give its key."""
        planner = self._shop.people[self._chances.one_of("planner", PLANNERS)]
        order = make_order(
            number=planned.number,
            model_id=self._models[planned.model],
            finish=planned.finish,
            quantity=planned.quantity,
            due_on=planned.due_on,
            priority=planned.priority,
            note=planned.note,
            by=planner,
            at=planned.made_at,
        )
        if planned.has_wood:
            self._yard.allot(
                model=planned.model,
                order_id=order.pk,
                quantity=planned.quantity,
                on=self._shop.day_shift.day_of(planned.made_at),
            )
        return order.pk

    def take_set(self, *, part: Part, on: date) -> int:
        """Take a set of wood for a part that is made anew."""
        model = part.instrument.revision.model.code
        return self._yard.take(model=model, branch=part.branch, on=on)

    def release(self, order_id: int, at: datetime) -> list[Instrument]:
        planner = self._shop.people[self._chances.one_of("planner", PLANNERS)]
        return release_order(order_id=order_id, by=planner, at=at)
