"""When will wood be dry, and how sure is that?"""

from travelers.formulas.drying.ahead import days_below, narrowing
from travelers.formulas.drying.approach import (
    days_until_above,
    days_until_below,
    moisture_after_pct,
    oak_rate_per_day,
)
from travelers.formulas.drying.fits import DayRange, DryingFit, fit, fit_many
from travelers.formulas.drying.past import calibration
from travelers.formulas.drying.rates import RatePrior, pool

__all__ = [
    "DayRange",
    "DryingFit",
    "RatePrior",
    "calibration",
    "days_below",
    "days_until_above",
    "days_until_below",
    "fit",
    "fit_many",
    "moisture_after_pct",
    "narrowing",
    "oak_rate_per_day",
    "pool",
]
