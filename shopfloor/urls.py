"""Which app answers which address?

A name says whose page it is.  A few pages tell more than that app can know (what
waits on the floor, what became of a set); an app above it answers those, and here
they are put under the name.
"""

from django.contrib import admin
from django.urls import include, path

from travelers.floor import urls as floor
from travelers.lumber import urls as lumber
from travelers.orders import urls as orders
from travelers.paper import urls as paper
from travelers.planning import urls as planning
from travelers.quality import urls as quality
from travelers.shop import urls as shop

urlpatterns = [
    path("", include(([*shop.urlpatterns, *planning.front_pages], shop.app_name))),
    path(
        "lumber/",
        include(([*lumber.urlpatterns, *orders.plank_pages], lumber.app_name)),
    ),
    path("routes/", include("travelers.routes.urls")),
    path("orders/", include(orders)),
    path("", include(([*floor.urlpatterns, *paper.instrument_pages], floor.app_name))),
    path("materials/", include((floor.material_pages, "materials"))),
    path("", include("travelers.outbox.urls")),
    path("quality/", include(quality)),
    path("station/<str:code>/study/", include((quality.bench_pages, "studies"))),
    path("find/", include((quality.find_pages, "find"))),
    path("decisions/", include((quality.decision_pages, "decisions"))),
    path("board/", include(planning)),
    path("flow/", include((planning.flow_pages, "flow"))),
    path("rooms/", include((planning.room_pages, "rooms"))),
    path("moisture/", include((planning.moisture_pages, "moisture"))),
    path("limits/", include((planning.limits_pages, "limits"))),
    path("release/", include((planning.release_pages, "release"))),
    path("ask/", include((planning.ask_pages, "ask"))),
    path("promises/", include((planning.promise_pages, "promises"))),
    path("what-if/", include((planning.what_if_pages, "what_if"))),
    path("digest/", include((paper.digest_pages, "digest"))),
    path("paper/", include(paper)),
    path("admin/", admin.site.urls),
]
handler400 = "travelers.kit.middleware.bad_request"
handler500 = "travelers.kit.middleware.fault"
