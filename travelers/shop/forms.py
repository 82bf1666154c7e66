"""What shape has a sign-in at a tablet, a tablet's code, a number with its PIN?"""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from travelers.kit.refusals import Refusal
from travelers.kit.words import remedy_of, sentence_of
from travelers.shop import queries
from travelers.shop.rules import NUMBER, NUMBER_TAKEN, PIN, PIN_EASY, is_easy


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
