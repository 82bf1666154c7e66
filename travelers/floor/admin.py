"""Which rows of the ledger are shown at the back door?  None is changed there."""

from django.contrib import admin

from travelers.floor.models import (
    Batch,
    BatchAtStation,
    BatchHold,
    Event,
    Hold,
    MaterialUse,
    Pin,
    Reading,
)
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


@admin.register(Pin)
class PinAdmin(ReadOnly):
    list_display = (
        "instrument",
        "part",
        "station",
        "reason",
        "until_on",
        "pinned_by",
        "lifted_at",
    )
    list_select_related = ("instrument", "part", "station", "pinned_by")
    ordering = ("-id",)
    search_fields = ("=instrument__serial", "reason")


@admin.register(Batch)
class BatchAdmin(ReadOnly):
    list_display = (
        "number",
        "material",
        "code",
        "received_on",
        "expires_on",
        "opened_at",
        "taken_in_by",
    )
    list_filter = ("material",)
    list_select_related = ("material", "taken_in_by")
    ordering = ("-id",)
    search_fields = ("number", "=code")


@admin.register(BatchHold)
class BatchHoldAdmin(ReadOnly):
    list_display = ("batch", "reason", "held_at", "held_by", "lifted_at", "lifted_by")
    list_select_related = ("batch", "held_by", "lifted_by")
    ordering = ("-id",)
    search_fields = ("batch__number", "reason")


@admin.register(BatchAtStation)
class BatchAtStationAdmin(ReadOnly):
    list_display = ("batch", "station", "began_at", "person")
    list_filter = ("station",)
    list_select_related = ("batch", "station", "person")
    ordering = ("-id",)


@admin.register(MaterialUse)
class MaterialUseAdmin(ReadOnly):
    list_display = ("event", "need", "batch", "serial")
    list_select_related = ("event", "need", "batch")
    ordering = ("-id",)
    search_fields = ("=serial", "=batch__number")
    show_full_result_count = False
