"""When will it be finished, how sure is that, and which station holds it up?"""

from travelers.formulas.forecast.compare import Change, Comparison, compare, compared
from travelers.formulas.forecast.futures import (
    ODDS,
    Futures,
    StationLoad,
    TimeSpent,
    quantiles_s,
)
from travelers.formulas.forecast.hours import ALWAYS, Hours, hours, weekly
from travelers.formulas.forecast.line import (
    At,
    Instrument,
    Job,
    Line,
    Rule,
    Station,
    Step,
)
from travelers.formulas.forecast.otherwise import (
    with_less_rework,
    with_longer_days,
    with_more_places,
)
from travelers.formulas.forecast.simulate import in_slices, simulate
from travelers.formulas.forecast.spreads import (
    Spread,
    fixed,
    gamma,
    quantiles,
    sample,
)
from travelers.formulas.forecast.stays import Stays, stays
from travelers.formulas.forecast.trace import Done, trace

__all__ = [
    "ALWAYS",
    "ODDS",
    "At",
    "Change",
    "Comparison",
    "Done",
    "Futures",
    "Hours",
    "Instrument",
    "Job",
    "Line",
    "Rule",
    "Spread",
    "Station",
    "StationLoad",
    "Stays",
    "Step",
    "TimeSpent",
    "compare",
    "compared",
    "fixed",
    "gamma",
    "hours",
    "in_slices",
    "quantiles",
    "quantiles_s",
    "sample",
    "simulate",
    "stays",
    "trace",
    "weekly",
    "with_less_rework",
    "with_longer_days",
    "with_more_places",
]
