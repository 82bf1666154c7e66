"""What stands on the sheet by which a plank is sawn?"""

from dataclasses import dataclass

from django.conf import settings

from travelers.formulas import codes
from travelers.lumber.queries import PlankPage
from travelers.orders.queries import Plan
from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size


@dataclass(frozen=True, slots=True)
class PlanSheet:
    plank: PlankPage
    plan: Plan
    link: str
    size: Size
    language: str


def plan_sheet(*, plank: PlankPage, plan: Plan, size: Size) -> PlanSheet:
    """Give a plan with the symbol of its plank, to hold against the plank's tag."""
    link = codes.link(plank.code, settings.PUBLIC_ORIGIN)
    return PlanSheet(plank, plan, link, size, language())
