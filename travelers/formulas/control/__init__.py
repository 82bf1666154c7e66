"""Does the work stay as it was, is that good enough, and can the gauge tell?"""

from travelers.formulas.control.capable import Capability, Intervals, capability
from travelers.formulas.control.charts import Chart
from travelers.formulas.control.counted import counts, proportion
from travelers.formulas.control.factors import Constants, constants
from travelers.formulas.control.gauges import GaugeStudy, Parted, crossed_study
from travelers.formulas.control.indices import (
    Indices,
    Interval,
    cp_interval,
    cpk_interval,
    indices,
)
from travelers.formulas.control.measured import (
    individuals,
    mean_deviation,
    mean_range,
)
from travelers.formulas.control.normality import (
    Normality,
    anderson_darling_p,
    normality,
)
from travelers.formulas.control.runs import (
    NELSON,
    WESTERN_ELECTRIC,
    Rule,
    Signal,
    run_rules,
)
from travelers.formulas.control.squares import Source
from travelers.formulas.control.weighted import ewma

__all__ = [
    "NELSON",
    "WESTERN_ELECTRIC",
    "Capability",
    "Chart",
    "Constants",
    "GaugeStudy",
    "Indices",
    "Interval",
    "Intervals",
    "Normality",
    "Parted",
    "Rule",
    "Signal",
    "Source",
    "anderson_darling_p",
    "capability",
    "constants",
    "counts",
    "cp_interval",
    "cpk_interval",
    "crossed_study",
    "ewma",
    "indices",
    "individuals",
    "mean_deviation",
    "mean_range",
    "normality",
    "proportion",
    "run_rules",
]
