"""Which rows of the ledger are shown at the back door?  None is changed there."""

from django.contrib import admin

from travelers.floor.models import Event, Hold, Reading
from travelers.kit.backdoor import ReadOnly


@admin.register(Event)
class EventAdmin(ReadOnly):
    list_display = (
        "seq",
        "kind",
        "instrument",
        "station",
        "person",
        "happened_at",
        "accepted",
        "refusal",
        "came_late",
    )
    list_filter = ("kind", "accepted", "came_late")
    list_select_related = ("instrument", "station", "person")
    ordering = ("-seq",)
    search_fields = ("=instrument__serial", "=event_id")
    show_full_result_count = False


@admin.register(Reading)
class ReadingAdmin(ReadOnly):
    list_display = (
        "event",
        "characteristic",
        "place",
        "value",
        "unit",
        "verdict",
        "gauge",
        "in_calibration",
    )
    list_filter = ("verdict", "in_calibration")
    list_select_related = ("event", "characteristic", "gauge")
    ordering = ("-id",)
    show_full_result_count = False


@admin.register(Hold)
class HoldAdmin(ReadOnly):
    list_display = ("instrument", "part", "reason", "event", "lifted")
    list_select_related = ("instrument", "part", "event", "lifted")
    ordering = ("-id",)
    search_fields = ("=instrument__serial", "reason")
