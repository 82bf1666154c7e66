"""Which rows of planning are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import ReadOnly
from travelers.planning.models import Forecast, WhatIf


@admin.register(Forecast)
class ForecastAdmin(ReadOnly):
    list_display = ("made_at", "futures", "seed", "digest")
    ordering = ("-made_at",)


@admin.register(WhatIf)
class WhatIfAdmin(ReadOnly):
    list_display = ("name", "made_by", "made_at", "tried_at")
    list_select_related = ("made_by",)
    ordering = ("name",)
