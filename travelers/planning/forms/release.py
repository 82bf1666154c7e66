"""What is typed when a release is planned, or a day asked for and promised?"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core import signing
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count
from travelers.orders.forms import OrderForm
from travelers.planning.actions import Chosen
from travelers.planning.queries.release import Goes, Wish
from travelers.planning.rules import CERTAINTIES
from travelers.routes.queries import Buildable

MOST_IN_WORK = 100_000
SALT = "planning.answer"


class RulesForm(forms.Form):
    """How sure a plan shall be, and how many instruments may be in work."""

    certainty_pct = forms.TypedChoiceField(
        label=_("Finished by its day in so many of 100 cases"),
        choices=[(one, str(one)) for one in CERTAINTIES],
        coerce=int,
    )
    most_in_work = forms.IntegerField(
        label=_("Instruments in work at once, at the most"),
        min_value=1,
        max_value=MOST_IN_WORK,
        required=False,
        help_text=_("Empty: as many as were in work at once in the last 13 weeks."),
    )


class AskForm(forms.Form):
    """A new order as somebody asks for it; an address carries it."""

    what = forms.ChoiceField(label=_("Model and finish"))
    quantity = Count(label=_("Quantity"), most=500)
    wished_on = forms.DateField(
        label=_("Wished by"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    certainty_pct = forms.TypedChoiceField(
        label=_("Sure in so many of 100 cases"),
        choices=[(one, str(one)) for one in CERTAINTIES],
        coerce=int,
    )
    goes = forms.TypedChoiceField(
        label=_("Its turn at the stations"),
        choices=[
            (Goes.BY_DATE.value, _("By its day, as the stations’ lists go")),
            (Goes.BEHIND.value, _("Behind all other orders")),
        ],
        coerce=Goes,
        initial=Goes.BY_DATE.value,
    )

    def __init__(
        self, *args: Any, buildable: Sequence[Buildable], today: date, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.today = today
        what = self.fields["what"]
        what.choices = [("", _("Choose")), *choices_of(buildable)]  # type: ignore[attr-defined]

    def clean_wished_on(self) -> date:
        wished: date = self.cleaned_data["wished_on"]
        if wished < self.today:
            raise forms.ValidationError(_("Say a day that is not over yet."))
        return wished

    def wish(self) -> Wish:
        said = self.cleaned_data
        model, _colon, finish = said["what"].partition(":")
        return Wish(
            int(model),
            finish,
            said["quantity"],
            said["wished_on"],
            said["certainty_pct"],
            said["goes"],
        )


class AcceptForm(OrderForm):
    """The order made of an answer, which is sealed: only what was said is promised."""

    answer = forms.CharField(widget=forms.HiddenInput)
    by = forms.ChoiceField(label=_("Promised by"))
    field_order = ("number", "by", "priority", "note", "answer")

    def __init__(
        self, *args: Any, told: Mapping[str, Any], days: Sequence[Any], **options: Any
    ) -> None:
        super().__init__(*args, buildable=(), **options)
        self.told = told
        for name in ("what", "quantity", "due_on"):
            del self.fields[name]
        self.fields["by"].choices = list(days)  # type: ignore[attr-defined]

    def promised(self) -> dict[str, Any]:
        """Say it as the verb takes it."""
        said = self.cleaned_data
        return {
            "number": said["number"],
            "promised_on": date.fromisoformat(said["by"]),
            "priority": said["priority"],
            "note": said["note"],
        }


def chosen_of(posted: Any) -> tuple[Chosen, ...]:
    """Read which orders were chosen, each with the sets that were proposed for it."""
    group = posted.get("group", "")
    numbers = posted.getlist(f"in-{group}") if group else posted.getlist("order")
    return tuple(
        Chosen(number[:20], _ids(posted.get(f"wood-{number}", "")))
        for number in dict.fromkeys(numbers)
    )


def choices_of(buildable: Sequence[Buildable]) -> list[tuple[str, list[Any]]]:
    """List the models that can be built, each with its finishes."""
    return [
        (
            model.name,
            [(f"{model.id}:{finish}", finish) for finish in model.finishes],
        )
        for model in buildable
    ]


def signed(told: Mapping[str, Any]) -> str:
    """Seal what was answered, so that only that can be promised."""
    return signing.dumps(dict(told), salt=SALT, compress=True)


def unsigned(text: str) -> dict[str, Any] | None:
    """Open a sealed answer; none if the seal is not ours."""
    try:
        told: dict[str, Any] = signing.loads(text, salt=SALT)
    except signing.BadSignature:
        return None
    return told


def _ids(text: str) -> tuple[int, ...]:
    return tuple(
        int(one) for one in text.split(",") if one.isdecimal() and len(one) < 16
    )
