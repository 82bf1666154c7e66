"""Which rows of quality are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import ReadOnly
from travelers.quality.models import Defect, DefectPhoto, Disposition


@admin.register(Defect)
class DefectAdmin(ReadOnly):
    list_display = ("id", "part", "kind", "severity", "x", "y", "note")
    list_filter = ("severity", "kind")
    list_select_related = ("part", "kind")
    ordering = ("-id",)


@admin.register(DefectPhoto)
class DefectPhotoAdmin(ReadOnly):
    list_display = ("defect", "number", "name", "size", "sha256")
    list_select_related = ("defect",)
    ordering = ("-id",)


@admin.register(Disposition)
class DispositionAdmin(ReadOnly):
    list_display = ("defect", "decision", "by", "decided_at", "reason")
    list_filter = ("decision",)
    list_select_related = ("defect", "by")
    ordering = ("-id",)
