"""Which roles are there, and where may work lie?"""

from enum import StrEnum

from travelers.kit.refusals import gettext_noop, refusal


class Role(StrEnum):
    OPERATOR = "operator"
    LEAD = "lead"
    PLANNER = "planner"
    QA = "qa"
    ROUTE_ENGINEER = "route_engineer"
    ADMIN = "admin"


# Whoever has some role here; somebody without one sees nothing.
EVERYBODY = tuple(Role)

NOT_KNOWN = refusal(
    "shop.not_known",
    gettext_noop("This number and PIN do not open anything here."),
    gettext_noop("Type both again, or scan your badge."),
    status=403,
)
