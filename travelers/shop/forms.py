"""What shape has a sign-in at a tablet, a tablet's code, a number with its PIN?"""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from travelers.kit.refusals import Refusal
from travelers.kit.words import label, remedy_of, sentence_of
from travelers.shop import queries
from travelers.shop.queries import Candidate
from travelers.shop.rules import NUMBER, NUMBER_TAKEN, PIN, PIN_EASY, Work, is_easy


def _digits(**more: str) -> dict[str, str]:
    return {"inputmode": "numeric", "autocomplete": "off", **more}


def _said(refusal: Refusal) -> str:
    return f"{sentence_of(refusal)} {remedy_of(refusal)}"


class WhoForm(forms.Form):
    """A badge, or a number and a PIN; what is wrong with them is not told apart."""

    badge = forms.CharField(required=False, strip=True)
    number = forms.CharField(required=False)
    pin = forms.CharField(required=False)

    def shown(self) -> dict[str, str]:
        """Give what was shown; what cannot be read counts as nothing."""
        self.is_valid()
        given = {name: str(self.cleaned_data.get(name, "")) for name in self.fields}
        return {name: value[:512] for name, value in given.items()}


class EnrolForm(forms.Form):
    """The lead's code, typed or scanned, and what the tablet shall be called."""

    code = forms.CharField(
        label=_("Code"),
        max_length=200,
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "autofocus": "",
            }
        ),
    )
    name = forms.CharField(
        label=_("Name of this tablet"),
        required=False,
        max_length=40,
        help_text=_("Left empty, it is called after its station."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class InviteForm(forms.Form):
    """The station that a tablet shall belong to."""

    station = forms.ChoiceField(label=_("Station"))

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        stations = queries.stations_to_choose()
        self.fields["station"].choices = [("", _("Choose")), *stations]  # type: ignore[attr-defined]


class NumberForm(forms.Form):
    """A number of four digits and a PIN of six, typed by the person it is for."""

    number = forms.CharField(
        label=_("Number"),
        max_length=4,
        widget=forms.TextInput(attrs=_digits()),
        help_text=_("Four digits that nobody else has."),
    )
    pin = forms.CharField(
        label=_("PIN"),
        max_length=6,
        widget=forms.PasswordInput(attrs=_digits(autocomplete="new-password")),
        help_text=_("Six digits. Let the person type them unseen."),
    )
    again = forms.CharField(
        label=_("PIN once more"),
        max_length=6,
        widget=forms.PasswordInput(attrs=_digits(autocomplete="new-password")),
    )

    def __init__(self, *given: Any, username: str, **more: Any) -> None:
        super().__init__(*given, **more)
        self.username = username

    def clean_number(self) -> str:
        typed = self._read("number", NUMBER, _("Type four digits."))
        if not queries.is_number_free(number=typed, username=self.username):
            raise ValidationError(_said(NUMBER_TAKEN.about(number=typed)))
        return typed

    def clean_pin(self) -> str:
        typed = self._read("pin", PIN, _("Type six digits."))
        if is_easy(typed):
            raise ValidationError(_said(PIN_EASY))
        return typed

    def _read(self, name: str, pattern: Any, said: Any) -> str:
        typed = str(self.cleaned_data[name])
        if not pattern.fullmatch(typed):
            raise ValidationError(said, code="digits")
        return typed

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        if "pin" in given and given["pin"] != given.get("again"):
            self.add_error("again", _("The two are not the same; type both again."))
        return given


class AskForm(forms.Form):
    """A kind of work at a stage, for which somebody qualified shall be asked."""

    stage = forms.ChoiceField(label=_("Stage"))
    kind = forms.ChoiceField(
        label=_("Kind of work"),
        help_text=_(
            "To hold is to dry, clamp or cure; to join, to bring parts together."
        ),
    )

    def __init__(self, *given: Any, **more: Any) -> None:
        super().__init__(*given, **more)
        stages = queries.stages_to_choose()
        self.fields["stage"].choices = [("", _("Choose")), *stages]  # type: ignore[attr-defined]
        self.fields["kind"].choices = [  # type: ignore[attr-defined]
            ("", _("Choose")),
            *((kind.value, label(kind)) for kind in Work),
        ]


class WhoMayForm(forms.Form):
    """Who may do a kind of work, and until which day.

    The page carries what it showed (``show_hidden_initial``): what another lead changed
    meanwhile, and nobody touched here, stays.
    """

    def __init__(self, *given: Any, people: Sequence[Candidate], **more: Any) -> None:
        super().__init__(*given, **more)
        self.people = people
        for one in people:
            self.fields[f"may-{one.username}"] = forms.BooleanField(
                label=one.name,
                required=False,
                initial=one.has_it,
                show_hidden_initial=True,
            )
            self.fields[f"until-{one.username}"] = forms.DateField(
                label=_("until"),
                required=False,
                initial=one.until,
                show_hidden_initial=True,
                widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            )

    def lines(self) -> Iterator[tuple[Candidate, forms.BoundField, forms.BoundField]]:
        for one in self.people:
            yield one, self[f"may-{one.username}"], self[f"until-{one.username}"]

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        for one in self.people:
            may, until = f"may-{one.username}", f"until-{one.username}"
            if typed.get(until) and not typed.get(may) and until in self.changed_data:
                self.add_error(until, _("Tick the name too, or take the day out."))
        return typed

    def decided(self) -> tuple[dict[str, date | None], list[str]]:
        """Give who was given it, until when, and from whom it was taken."""
        touched = [
            one.username
            for one in self.people
            if {f"may-{one.username}", f"until-{one.username}"} & set(self.changed_data)
        ]
        may = {name: bool(self.cleaned_data[f"may-{name}"]) for name in touched}
        given = {
            name: self.cleaned_data[f"until-{name}"] for name in touched if may[name]
        }
        return given, [name for name in touched if not may[name]]
