"""How long do things wait, how many are in work, how many come through?"""

from travelers.formulas.association.yields import first_pass_yield, rolled_yield
from travelers.formulas.flow.ages import older_than_share
from travelers.formulas.flow.counts import in_work, lead_time
from travelers.formulas.flow.networks import jackson
from travelers.formulas.flow.queues import Queue, kingman, md1, mm1, mmc

__all__ = [
    "Queue",
    "first_pass_yield",
    "in_work",
    "jackson",
    "kingman",
    "lead_time",
    "md1",
    "mm1",
    "mmc",
    "older_than_share",
    "rolled_yield",
]
