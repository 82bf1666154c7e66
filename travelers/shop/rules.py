"""Which roles are there, and where may work lie?"""

from enum import StrEnum


class Role(StrEnum):
    OPERATOR = "operator"
    LEAD = "lead"
    PLANNER = "planner"
    QA = "qa"
    ROUTE_ENGINEER = "route_engineer"
    ADMIN = "admin"


class OverdueGauges(StrEnum):
    """What becomes of a reading whose gauge is out of calibration."""

    REFUSE = "REFUSE"
    MARK = "MARK"


# Whoever has some role here; somebody without one sees nothing.
EVERYBODY = tuple(Role)
