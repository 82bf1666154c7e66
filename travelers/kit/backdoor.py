"""Who enters the admin pages, and what may be changed there?

The back door is for what has no screen of its own.  Only admins enter, by the same
sign-in as everybody.  What is computed or appended is only shown: the ledger, its
projection, released routes.
"""

from collections.abc import Iterable
from functools import update_wrapper
from typing import Any

from django.contrib.admin import AdminSite, ModelAdmin
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.models import Group
from django.contrib.auth.views import redirect_to_login
from django.db.models import Model
from django.db.models.base import ModelBase
from django.http import HttpRequest, HttpResponse
from django.shortcuts import resolve_url
from django.utils.decorators import method_decorator
from django.utils.translation import gettext_lazy as _

from travelers.kit.refusals import NOT_YOUR_ROLE, Refused


class BackDoor(AdminSite):
    site_title = _("Plank to Play")
    site_header = _("Plank to Play: back door")
    index_title = _("What has no screen of its own")

    def has_permission(self, request: HttpRequest) -> bool:
        # A superuser made at the command line has no role yet and comes to take one.
        user: Any = request.user
        return bool(
            user.is_active
            and user.is_authenticated
            and (user.is_admin or user.is_superuser)
        )

    def admin_view(self, view: Any, cacheable: bool = False) -> Any:
        """Refuse whoever is no admin, rather than ask for another sign-in."""
        inner = super().admin_view(view, cacheable)

        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
            if request.user.is_authenticated and not self.has_permission(request):
                raise Refused(NOT_YOUR_ROLE)
            return inner(request, *args, **kwargs)

        return update_wrapper(guarded, inner)

    @method_decorator(login_not_required)
    def login(
        self, request: HttpRequest, extra_context: dict[str, Any] | None = None
    ) -> HttpResponse:
        """Send to the sign-in that everybody uses."""
        onward = request.GET.get("next") or resolve_url("admin:index")
        return redirect_to_login(onward)

    def register(
        self,
        model_or_iterable: Any,
        admin_class: Any = None,
        **options: Any,
    ) -> None:
        """Leave groups out: here a person's roles say what may be done."""
        models: Iterable[Any] = (
            [model_or_iterable]
            if isinstance(model_or_iterable, ModelBase)
            else model_or_iterable
        )
        ours = [model for model in models if model is not Group]
        super().register(ours, admin_class, **options)


class ReadOnly(ModelAdmin):  # type: ignore[type-arg]
    """Rows to look at: nothing is added, changed or deleted."""

    actions = None

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return False

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return False


class Configuration(ModelAdmin):  # type: ignore[type-arg]
    """Rows to add and change, one at a time; what others refer to is not deleted."""

    actions = None


class Corrected(Configuration):
    """Facts that a screen made, in which a slip may be put right here."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_delete_permission(
        self, request: HttpRequest, obj: Model | None = None
    ) -> bool:
        return False
