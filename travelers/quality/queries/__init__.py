"""What is known of defects, and what waits for a decision?"""

from travelers.quality.queries.charts import (
    ChartPage,
    ChartRow,
    chart_list,
    chart_page,
    parts_of_base,
    series_of,
)
from travelers.quality.queries.comparable import Question
from travelers.quality.queries.containments import (
    ContainmentPage,
    ContainmentRow,
    containment_page,
    containments,
)
from travelers.quality.queries.decisions import Decisions, decisions
from travelers.quality.queries.defects import (
    Case,
    DefectList,
    Found,
    Here,
    Kind,
    KindHere,
    Patient,
    find_kind,
    get_case,
    get_patient,
    kinds_at,
    list_defects,
    lock_defect,
    number_of,
    stands_at,
)
from travelers.quality.queries.everything import Found as FoundThing
from travelers.quality.queries.everything import Search, Sort, search_all
from travelers.quality.queries.findings import Finding, findings
from travelers.quality.queries.pareto import Asked as ParetoAsked
from travelers.quality.queries.pareto import ParetoPage, pareto_page
from travelers.quality.queries.photos import Photo, find_photo, photos_of
from travelers.quality.queries.reworks import (
    Rework,
    find_rework,
    reworks_to_verify,
)
from travelers.quality.queries.shared_causes import CommonPage, common_page
from travelers.quality.queries.studies import (
    GaugeStudies,
    StudyPage,
    gauge_studies,
    judged_by,
    next_of,
    study_page,
)
from travelers.quality.queries.trace import (
    Named,
    Reach,
    TracePage,
    Twig,
    descend,
    find_thing,
    name_of,
    reach_of,
    search,
    trace_page,
    twigs_of,
)

__all__ = [
    "Case",
    "ChartPage",
    "ChartRow",
    "CommonPage",
    "ContainmentPage",
    "ContainmentRow",
    "Decisions",
    "DefectList",
    "Finding",
    "Found",
    "FoundThing",
    "GaugeStudies",
    "Here",
    "Kind",
    "KindHere",
    "Named",
    "ParetoAsked",
    "ParetoPage",
    "Patient",
    "Photo",
    "Question",
    "Reach",
    "Rework",
    "Search",
    "Sort",
    "StudyPage",
    "TracePage",
    "Twig",
    "chart_list",
    "chart_page",
    "common_page",
    "containment_page",
    "containments",
    "decisions",
    "descend",
    "find_kind",
    "find_photo",
    "find_rework",
    "find_thing",
    "findings",
    "gauge_studies",
    "get_case",
    "get_patient",
    "judged_by",
    "kinds_at",
    "list_defects",
    "lock_defect",
    "name_of",
    "next_of",
    "number_of",
    "pareto_page",
    "parts_of_base",
    "photos_of",
    "reach_of",
    "reworks_to_verify",
    "search",
    "search_all",
    "series_of",
    "stands_at",
    "study_page",
    "trace_page",
    "twigs_of",
]
