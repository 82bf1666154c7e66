"""Which rows of the lumber are kept by the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import Configuration, Corrected, ReadOnly
from travelers.lumber.models import (
    Delivery,
    DeliveryPaper,
    Logger,
    MoistureReading,
    Piece,
    Plank,
    PlankSet,
    Room,
    RoomReading,
    Species,
    SpeciesCorrection,
    Supplier,
)


@admin.register(Species)
class SpeciesAdmin(Configuration):
    list_display = ("code", "name", "latin", "handbook_name", "trade_controlled")
    ordering = ("name",)


@admin.register(Supplier)
class SupplierAdmin(Configuration):
    list_display = ("code", "name")
    ordering = ("name",)


@admin.register(Delivery)
class DeliveryAdmin(Corrected):
    list_display = ("number", "received_on", "species", "supplier", "trade_papers")
    list_select_related = ("species", "supplier")
    ordering = ("-received_on", "-id")
    readonly_fields = ("number", "species")
    search_fields = ("number",)


@admin.register(DeliveryPaper)
class DeliveryPaperAdmin(ReadOnly):
    list_display = ("delivery", "number", "title", "kind", "added_at")
    list_select_related = ("delivery",)
    ordering = ("-id",)
    search_fields = ("delivery__number", "title")


@admin.register(Plank)
class PlankAdmin(Corrected):
    list_display = ("number", "code", "length_mm", "width_mm", "thickness_mm", "mass_g")
    ordering = ("-id",)
    readonly_fields = ("number", "code", "delivery", "looked_at_by")
    search_fields = ("number", "code")


@admin.register(PlankSet)
class PlankSetAdmin(ReadOnly):
    list_display = ("number", "code", "purpose", "cut_on")
    list_filter = ("purpose",)
    ordering = ("-id",)
    search_fields = ("number", "code")


@admin.register(Piece)
class PieceAdmin(Corrected):
    list_display = (
        "plank_set",
        "letter",
        "code",
        "length_mm",
        "width_mm",
        "thickness_mm",
        "mass_g",
    )
    list_select_related = ("plank_set",)
    ordering = ("-id",)
    readonly_fields = ("plank_set", "letter", "code")
    search_fields = ("code", "plank_set__number")


@admin.register(Room)
class RoomAdmin(Configuration):
    list_display = ("station", "limit_pct")
    list_select_related = ("station",)
    ordering = ("station__name",)


@admin.register(Logger)
class LoggerAdmin(ReadOnly):
    list_display = ("name", "room", "let_in_at", "heard_at", "put_out_at")
    list_select_related = ("room",)
    ordering = ("room", "name")
    exclude = ("token_digest",)


@admin.register(RoomReading)
class RoomReadingAdmin(ReadOnly):
    list_display = ("room", "read_at", "temperature_c", "humidity_pct", "told")
    list_select_related = ("room",)
    ordering = ("-read_at",)


@admin.register(SpeciesCorrection)
class SpeciesCorrectionAdmin(Configuration):
    list_display = ("species", "shown_pct", "add_pct")
    list_filter = ("species",)
    list_select_related = ("species",)
    ordering = ("species__name", "shown_pct")


@admin.register(MoistureReading)
class MoistureReadingAdmin(ReadOnly):
    list_display = ("piece", "point", "read_at", "method", "shown_pct", "moisture_pct")
    list_select_related = ("piece",)
    ordering = ("-read_at", "-id")
