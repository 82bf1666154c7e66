"""Which rows of the routes are kept by the back door?

Models, finishes, wood needs and kinds of defects are changed freely, and a material
until a released revision names it.  A revision and
all that hangs on it is changed only while it is a draft; it is released by its page.
"""

from typing import Any

from django.contrib import admin
from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.forms import BaseInlineFormSet
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from travelers.kit.backdoor import Configuration
from travelers.routes.models import (
    Caution,
    Characteristic,
    DefectBranch,
    DefectKind,
    Finish,
    InstrumentModel,
    Material,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
    WoodNeed,
)
from travelers.routes.rules import RevisionState


class FinishRows(admin.TabularInline):
    model = Finish
    extra = 0


class WoodNeedRows(admin.TabularInline):
    model = WoodNeed
    extra = 0


@admin.register(InstrumentModel)
class InstrumentModelAdmin(Configuration):
    list_display = ("code", "name", "shape", "serial_prefix", "scale_mm", "frets")
    ordering = ("name",)
    inlines = (FinishRows, WoodNeedRows)


class DefectBranchRows(admin.TabularInline):
    model = DefectBranch
    extra = 0


@admin.register(DefectKind)
class DefectKindAdmin(Configuration):
    list_display = ("code", "name", "origins", "usual")
    list_filter = ("usual",)
    ordering = ("name",)
    filter_horizontal = ("stages",)
    inlines = (DefectBranchRows,)


@admin.register(Material)
class MaterialAdmin(Configuration):
    list_display = ("code", "name", "traced")
    list_filter = ("traced",)
    ordering = ("name",)

    def has_change_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return _is_free(obj) and super().has_change_permission(request, obj)

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return _is_free(obj) and super().has_delete_permission(request, obj)


def _is_free(obj: Model | None) -> bool:
    """Say whether a material may change still; yes where no row is named yet."""
    if not isinstance(obj, Material):
        return True
    used = obj.needs.exclude(operation__revision__state=RevisionState.DRAFT)
    return not used.exists()


class OfADraft:
    """What hangs on a revision is changed while that is a draft, else only seen."""

    def has_change_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return _is_draft(obj) and super().has_change_permission(request, obj)  # type: ignore[misc]

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return _is_draft(obj) and super().has_delete_permission(request, obj)  # type: ignore[misc]


def _is_draft(obj: Model | None) -> bool:
    """Say yes where no row is named yet; an operation is as its revision is."""
    if obj is None:
        return True
    revision = obj.revision if isinstance(obj, Operation) else obj
    return getattr(revision, "state", None) == RevisionState.DRAFT


@admin.register(Revision)
class RevisionAdmin(OfADraft, Configuration):
    list_display = ("model", "number", "state", "released_at", "released_by")
    list_display_links = ("number",)
    list_filter = ("model", "state")
    list_select_related = ("model", "released_by")
    ordering = ("model__name", "-id")
    readonly_fields = ("state", "released_at", "released_by", "retired_at")


class RowsOfADraft(OfADraft, admin.TabularInline):
    extra = 0

    def has_add_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return _is_draft(obj) and super().has_add_permission(request, obj)


class CharacteristicRows(RowsOfADraft):
    model = Characteristic


class CautionRows(RowsOfADraft):
    model = Caution


class MaterialNeedRows(RowsOfADraft):
    model = MaterialNeed


class OwnRevisionOnly(BaseInlineFormSet):
    """An operation waits for operations of its own revision only."""

    def clean(self) -> None:
        super().clean()
        for form in self.forms:
            before = form.cleaned_data.get("before") if form.is_valid() else None
            if before and before.revision_id != self.instance.revision_id:
                raise ValidationError(
                    _("An operation waits for operations of its own revision.")
                )


class PrecedenceRows(RowsOfADraft):
    model = Precedence
    fk_name = "after"
    formset = OwnRevisionOnly
    verbose_name = _("waits for")
    verbose_name_plural = _("waits for")

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **options: Any
    ) -> Any:
        if db_field.name == "before":
            options["queryset"] = _operations_beside(request)
        return super().formfield_for_foreignkey(db_field, request, **options)


def _operations_beside(request: HttpRequest) -> QuerySet[Operation]:
    """Offer the operations of the revision whose operation is being changed."""
    match = request.resolver_match
    here = match.kwargs.get("object_id", "") if match else ""
    rows = Operation.objects.order_by("branch", "number", "id")
    if not str(here).isdecimal():
        return rows.filter(revision__state=RevisionState.DRAFT)
    return rows.filter(revision__operations=int(here))


@admin.register(Operation)
class OperationAdmin(OfADraft, Configuration):
    list_display = ("revision", "branch", "number", "name", "station", "kind")
    list_display_links = ("name",)
    list_filter = ("revision__model", "revision__state", "branch", "kind")
    list_select_related = ("revision", "station")
    ordering = ("revision_id", "branch", "number")
    search_fields = ("name",)
    inlines = (CharacteristicRows, CautionRows, MaterialNeedRows, PrecedenceRows)

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **options: Any
    ) -> Any:
        if db_field.name == "revision":
            options["queryset"] = Revision.objects.filter(state=RevisionState.DRAFT)
        return super().formfield_for_foreignkey(db_field, request, **options)
