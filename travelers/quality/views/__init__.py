"""Which screens does quality have?"""

from travelers.quality.views.bench_studies import bench_study, studies_here
from travelers.quality.views.charts import answer_signal, base, chart, charts
from travelers.quality.views.containing import contained, containment
from travelers.quality.views.deciding import (
    defect,
    defect_of_event,
    defects,
    verify_rework,
)
from travelers.quality.views.decisions import answer, decisions
from travelers.quality.views.finding import find_all
from travelers.quality.views.gauges import back_in_use, found_bad, gauges
from travelers.quality.views.pareto import pareto
from travelers.quality.views.photos import photo
from travelers.quality.views.reporting import outline, report
from travelers.quality.views.shared_causes import common
from travelers.quality.views.studies import (
    gauge_studies,
    study,
    study_off,
    study_part,
)
from travelers.quality.views.tracing import find, trace, twigs

__all__ = [
    "answer",
    "answer_signal",
    "back_in_use",
    "base",
    "bench_study",
    "chart",
    "charts",
    "common",
    "contained",
    "containment",
    "decisions",
    "defect",
    "defect_of_event",
    "defects",
    "find",
    "find_all",
    "found_bad",
    "gauge_studies",
    "gauges",
    "outline",
    "pareto",
    "photo",
    "report",
    "studies_here",
    "study",
    "study_off",
    "study_part",
    "trace",
    "twigs",
    "verify_rework",
]
