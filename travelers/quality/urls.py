"""Which addresses does the quality app answer?

What waits for a decision and what finds everything have addresses of their own;
``shopfloor.urls`` puts them there.
"""

from django.urls import path

from travelers.quality import views

app_name = "quality"
urlpatterns = [
    path("report/", views.report, name="report"),
    path("outline/<slug:part>/<slug:shape>.svg", views.outline, name="outline"),
    path("gauges/", views.gauges, name="gauges"),
    path("gauges/<str:tag>/", views.gauge_studies, name="gauge_studies"),
    path("gauges/<str:tag>/bad/", views.found_bad, name="gauge_bad"),
    path("gauges/<str:tag>/back/", views.back_in_use, name="gauge_back"),
    path("studies/<int:number>/", views.study, name="study"),
    path("studies/<int:number>/part/", views.study_part, name="study_part"),
    path("studies/<int:number>/off/", views.study_off, name="study_off"),
    path("pareto/", views.pareto, name="pareto"),
    path("trace/", views.find, name="find"),
    path("trace/<slug:kind>/<str:key>/", views.trace, name="trace"),
    path("trace/<slug:kind>/<str:key>/twigs/", views.twigs, name="twigs"),
    path("charts/", views.charts, name="charts"),
    path("charts/<int:number>/", views.chart, name="chart"),
    path("charts/<int:number>/base/", views.base, name="base"),
    path("charts/<int:number>/answer/", views.answer_signal, name="answer_signal"),
    path("common/", views.common, name="common"),
    path("contained/", views.contained, name="contained"),
    path("contained/<int:number>/", views.containment, name="containment"),
    path("defects/", views.defects, name="defects"),
    path("defects/<int:number>/", views.defect, name="defect"),
    path("defects/<int:number>/verify/", views.verify_rework, name="verify_rework"),
    # The floor knows a defect by its event alone.
    path("defects/<uuid:event_id>/", views.defect_of_event, name="defect"),
    path("defects/<uuid:event_id>/photo/<int:number>/", views.photo, name="photo"),
]
# A study is measured at a station.
bench_pages = [
    path("", views.studies_here, name="here"),
    path("<int:number>/", views.bench_study, name="bench"),
]
find_pages = [path("", views.find_all, name="everything")]
decision_pages = [
    path("", views.decisions, name="list"),
    path("answer/", views.answer, name="answer"),
]
