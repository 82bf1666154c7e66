"""Which rows of quality are shown at the back door?"""

from django.contrib import admin

from travelers.kit.backdoor import ReadOnly
from travelers.quality.models import (
    ChartBase,
    Contained,
    Containment,
    Defect,
    DefectPhoto,
    Disposition,
    GaugeStudy,
    SignalAnswer,
    StudyPart,
    StudyValue,
    Verification,
)


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


@admin.register(Verification)
class VerificationAdmin(ReadOnly):
    list_display = ("disposition", "by", "verified_at", "note")
    list_select_related = ("disposition", "by")
    ordering = ("-id",)


@admin.register(Containment)
class ContainmentAdmin(ReadOnly):
    list_display = ("id", "kind", "name", "reason", "by", "made_at")
    list_filter = ("kind",)
    list_select_related = ("by",)
    ordering = ("-id",)


@admin.register(Contained)
class ContainedAdmin(ReadOnly):
    list_display = ("containment", "part", "plank_set", "plank", "let_go_at")
    list_select_related = ("containment", "part", "plank_set", "plank")
    ordering = ("-id",)


@admin.register(ChartBase)
class ChartBaseAdmin(ReadOnly):
    list_display = ("characteristic", "since", "until", "by", "made_at")
    list_select_related = ("characteristic", "by")
    ordering = ("-id",)


@admin.register(SignalAnswer)
class SignalAnswerAdmin(ReadOnly):
    list_display = ("characteristic", "rules", "cause", "action", "by", "answered_at")
    list_select_related = ("characteristic", "by")
    ordering = ("-id",)


@admin.register(GaugeStudy)
class GaugeStudyAdmin(ReadOnly):
    list_display = ("id", "gauge", "characteristic", "parts", "people", "trials")
    list_select_related = ("gauge", "characteristic")
    ordering = ("-id",)


@admin.register(StudyPart)
class StudyPartAdmin(ReadOnly):
    list_display = ("study", "number", "part")
    list_select_related = ("study", "part")
    ordering = ("-id",)


@admin.register(StudyValue)
class StudyValueAdmin(ReadOnly):
    list_display = ("study", "part", "trial", "value", "taken_back_at")
    list_select_related = ("study",)
    ordering = ("-id",)
