"""Which app answers which address?"""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("travelers.shop.urls")),
    path("lumber/", include("travelers.lumber.urls")),
    path("routes/", include("travelers.routes.urls")),
    path("orders/", include("travelers.orders.urls")),
    path("", include("travelers.floor.urls")),
    path("quality/", include("travelers.quality.urls")),
    path("board/", include("travelers.planning.urls")),
    path("paper/", include("travelers.paper.urls")),
    path("admin/", admin.site.urls),
]
