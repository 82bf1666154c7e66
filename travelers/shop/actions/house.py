"""How does the shop decide something for itself?"""

from datetime import datetime

from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.shop.models import HouseRules, Person
from travelers.shop.rules import OverdueGauges, Role


def decide_overdue_gauges(
    *, decision: OverdueGauges, by: Person, at: datetime
) -> HouseRules:
    """Decide whether overdue gauges are refused, or their readings only marked."""
    if not (by.has(Role.QA) or by.has(Role.ADMIN)):
        raise Refused(NOT_YOUR_ROLE)
    rules, _ = HouseRules.objects.update_or_create(
        pk=1,
        defaults={"overdue_gauges": decision, "changed_at": at, "changed_by": by},
    )
    return rules
