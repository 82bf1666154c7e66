"""Does the work stay as it was, is that good enough, and can the gauge tell?"""

from travelers.formulas.control.charts import Chart
from travelers.formulas.control.counted import counts, proportion
from travelers.formulas.control.factors import Constants, constants
from travelers.formulas.control.measured import (
    individuals,
    mean_deviation,
    mean_range,
)
from travelers.formulas.control.runs import (
    NELSON,
    WESTERN_ELECTRIC,
    Rule,
    Signal,
    run_rules,
)
from travelers.formulas.control.weighted import ewma

__all__ = [
    "NELSON",
    "WESTERN_ELECTRIC",
    "Chart",
    "Constants",
    "Rule",
    "Signal",
    "constants",
    "counts",
    "ewma",
    "individuals",
    "mean_deviation",
    "mean_range",
    "proportion",
    "run_rules",
]
