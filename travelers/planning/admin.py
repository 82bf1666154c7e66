"""Which rows of planning are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import ReadOnly
from travelers.planning.models import (
    Forecast,
    OrderPromise,
    ReleasePlan,
    ReleaseRules,
    WhatIf,
)


@admin.register(Forecast)
class ForecastAdmin(ReadOnly):
    list_display = ("made_at", "futures", "seed", "digest")
    ordering = ("-made_at",)


@admin.register(WhatIf)
class WhatIfAdmin(ReadOnly):
    list_display = ("name", "made_by", "made_at", "tried_at")
    list_select_related = ("made_by",)
    ordering = ("name",)


@admin.register(ReleaseRules)
class ReleaseRulesAdmin(ReadOnly):
    list_display = ("certainty_pct", "most_in_work", "set_at", "set_by")
    list_select_related = ("set_by",)
    ordering = ("pk",)


@admin.register(ReleasePlan)
class ReleasePlanAdmin(ReadOnly):
    list_display = ("made_at", "futures", "seed", "digest")
    ordering = ("-made_at",)


@admin.register(OrderPromise)
class OrderPromiseAdmin(ReadOnly):
    list_display = ("order", "promised_on", "certainty_pct", "made_at", "made_by")
    list_select_related = ("order", "made_by")
    ordering = ("-made_at",)
