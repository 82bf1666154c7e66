"""How does the shop decide something for itself?"""

from datetime import datetime
from decimal import Decimal

from travelers.kit.people import has_one_of
from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.shop.models import HouseRules, Person
from travelers.shop.rules import (
    WORKSHOP_CANNOT_BE,
    WORKSHOP_KEEPERS,
    OverdueGauges,
    Role,
)


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


def decide_workshop_air(
    *, temperature_c: Decimal, humidity_pct: Decimal, by: Person, at: datetime
) -> HouseRules:
    """Say in which air dry wood lies in the workshop; how long it keeps follows."""
    if not has_one_of(by, WORKSHOP_KEEPERS):
        raise Refused(NOT_YOUR_ROLE)
    if not (5 <= temperature_c <= 40 and 5 <= humidity_pct <= 95):
        raise Refused(
            WORKSHOP_CANNOT_BE.about(
                warm=f"{temperature_c:f}", damp=f"{humidity_pct:f}"
            )
        )
    rules, _ = HouseRules.objects.update_or_create(
        pk=1,
        defaults={
            "workshop_c": temperature_c,
            "workshop_pct": humidity_pct,
            "changed_at": at,
            "changed_by": by,
        },
    )
    return rules
