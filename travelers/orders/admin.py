"""Which rows of the orders are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import Corrected, ReadOnly
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder


@admin.register(WorkOrder)
class WorkOrderAdmin(Corrected):
    """An order; when it is due, how urgent and what is noted may change."""

    list_display = ("number", "revision", "finish", "quantity", "due_on", "released_at")
    list_select_related = ("revision",)
    ordering = ("-id",)
    search_fields = ("number",)
    readonly_fields = (
        "number",
        "revision",
        "finish",
        "quantity",
        "made_at",
        "made_by",
        "released_at",
        "released_by",
    )


@admin.register(Allotment)
class AllotmentAdmin(ReadOnly):
    list_display = ("order", "branch", "position", "plank_set")
    list_select_related = ("order", "plank_set")
    ordering = ("-id",)


@admin.register(Instrument)
class InstrumentAdmin(ReadOnly):
    list_display = ("serial", "order", "position", "state", "held_at", "closed_at")
    list_filter = ("state",)
    list_select_related = ("order",)
    ordering = ("-id",)
    search_fields = ("serial", "order__number")


@admin.register(Part)
class PartAdmin(ReadOnly):
    list_display = ("code", "instrument", "branch", "stage", "look", "since", "held_at")
    list_filter = ("branch", "look", "stage")
    list_select_related = ("instrument", "stage")
    ordering = ("-id",)
    search_fields = ("code", "instrument__serial")


@admin.register(Step)
class StepAdmin(ReadOnly):
    list_display = ("instrument", "part", "position", "operation", "state", "ready_at")
    list_filter = ("state",)
    list_select_related = ("instrument", "part", "operation")
    ordering = ("-id",)
    search_fields = ("=part__code", "=instrument__serial")
    show_full_result_count = False
