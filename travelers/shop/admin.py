"""Which rows of the shop are kept by the back door?"""

from typing import Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from travelers.kit.backdoor import Configuration, ReadOnly
from travelers.shop.actions import take_codes
from travelers.shop.models import (
    Badge,
    ClosedDay,
    Counter,
    Cutter,
    Gauge,
    GaugeFault,
    HouseRules,
    NeedsQualification,
    Person,
    Qualification,
    Shift,
    Stage,
    Station,
    Tablet,
)
from travelers.shop.rules import Role

ROLES = tuple(f"is_{role}" for role in Role)


@admin.register(Person)
class PersonAdmin(UserAdmin):
    """People and their roles; an admin enters here by that role alone."""

    actions = None
    add_form = AdminUserCreationForm
    list_display = ("username", "first_name", "last_name", "initials", *ROLES)
    list_filter = ("is_active", *ROLES)
    search_fields = ("username", "first_name", "last_name", "initials")
    ordering = ("username",)
    filter_horizontal = ()
    fieldsets = (
        (None, {"fields": ("username", "password", "is_active")}),
        (_("Person"), {"fields": ("first_name", "last_name", "initials")}),
        (_("Roles"), {"fields": ROLES}),
    )
    add_fieldsets = (
        (None, {"fields": ("username", "password1", "password2")}),
        (_("Person"), {"fields": ("first_name", "last_name", "initials")}),
        (_("Roles"), {"fields": ROLES}),
    )

    def save_model(
        self, request: HttpRequest, obj: Person, form: Any, change: bool
    ) -> None:
        obj.initials = obj.initials or None
        obj.is_staff = obj.is_superuser = obj.is_admin
        super().save_model(request, obj, form, change)


@admin.register(Stage)
class StageAdmin(Configuration):
    list_display = ("position", "code", "name")
    list_display_links = ("code",)
    ordering = ("position",)


class Tagged(Configuration):
    """What carries a tag gets it once, of its kind, when it is added."""

    kind = ""
    readonly_fields = ("tag",)

    def save_model(
        self, request: HttpRequest, obj: Any, form: Any, change: bool
    ) -> None:
        if not obj.tag:
            obj.tag = take_codes(kind=self.kind, count=1)[0]
        super().save_model(request, obj, form, change)


@admin.register(Station)
class StationAdmin(Tagged):
    kind = "H"
    list_display = ("code", "name", "stage", "attended", "places", "shift", "tag")
    list_filter = ("stage", "attended")
    list_select_related = ("stage", "shift")
    ordering = ("stage__position", "code")
    search_fields = ("code", "name", "tag")


@admin.register(Gauge)
class GaugeAdmin(Tagged):
    kind = "G"
    list_display = (
        "name",
        "kind",
        "unit",
        "resolution",
        "calibrated_on",
        "due_on",
        "tag",
    )
    list_filter = ("kind",)
    ordering = ("due_on", "name")
    search_fields = ("name", "tag")


@admin.register(GaugeFault)
class GaugeFaultAdmin(ReadOnly):
    list_display = ("gauge", "found_at", "found_by", "good_until_on", "ended_at")
    list_select_related = ("gauge", "found_by")
    ordering = ("-found_at", "pk")


@admin.register(HouseRules)
class HouseRulesAdmin(ReadOnly):
    list_display = ("overdue_gauges", "changed_at", "changed_by")
    list_select_related = ("changed_by",)
    ordering = ("pk",)


@admin.register(Tablet)
class TabletAdmin(ReadOnly):
    list_display = ("name", "station", "enrolled_at", "enrolled_by", "revoked_at")
    list_select_related = ("station", "enrolled_by")
    exclude = ("token_digest",)
    ordering = ("name",)


@admin.register(Badge)
class BadgeAdmin(ReadOnly):
    list_display = ("person", "issued_at", "issued_by", "revoked_at", "revoked_by")
    list_select_related = ("person", "issued_by", "revoked_by")
    exclude = ("digest",)
    ordering = ("-issued_at", "pk")


@admin.register(NeedsQualification)
class NeedsQualificationAdmin(ReadOnly):
    list_display = ("stage", "kind")
    list_select_related = ("stage",)
    ordering = ("stage__position", "kind")


@admin.register(Qualification)
class QualificationAdmin(ReadOnly):
    list_display = ("person", "stage", "kind", "until", "given_at", "given_by")
    list_filter = ("stage", "kind")
    list_select_related = ("person", "stage", "given_by")
    ordering = ("person__username", "stage__position", "kind")
    search_fields = ("person__first_name", "person__last_name", "person__username")


@admin.register(Shift)
class ShiftAdmin(Configuration):
    list_display = ("code", "name", "weekdays", "starts", "ends")
    ordering = ("code",)


@admin.register(ClosedDay)
class ClosedDayAdmin(Configuration):
    list_display = ("day", "reason")
    ordering = ("-day",)


@admin.register(Cutter)
class CutterAdmin(ReadOnly):
    list_display = (
        "number",
        "station",
        "head",
        "life_parts",
        "mounted_at",
        "mounted_by",
        "taken_off_at",
    )
    list_filter = ("station",)
    list_select_related = ("station", "mounted_by")
    ordering = ("-mounted_at",)


@admin.register(Counter)
class CounterAdmin(ReadOnly):
    list_display = ("series", "last")
    ordering = ("series",)
