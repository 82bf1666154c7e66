"""What is typed of a delivery itself?"""

from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import queries, rules
from travelers.lumber.queries import Offered

number_shape = RegexValidator(
    r"^(?=.*[0-9])[A-Za-z0-9][A-Za-z0-9.-]*$",
    _("Letters, digits, points and hyphens, with at least one digit; no spaces."),
)


class DeliveryForm(forms.Form):
    number = forms.CharField(
        label=_("Number of the delivery"), max_length=20, validators=[number_shape]
    )
    supplier = forms.ChoiceField(label=_("Supplier"))
    species = forms.ChoiceField(label=_("Species"))
    received_on = forms.DateField(
        label=_("Received on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    papers = forms.CharField(label=_("Delivery papers"), max_length=200, required=False)
    trade_papers = forms.CharField(
        label=_("Trade papers"),
        max_length=200,
        required=False,
        help_text=_(
            "Wood under trade control (CITES) needs their number; the law of the "
            "place decides."
        ),
    )

    def __init__(self, *args: Any, offered: Offered, **options: Any) -> None:
        super().__init__(*args, **options)
        self.offered = offered
        for name, choices in (
            ("supplier", offered.suppliers),
            ("species", offered.species),
        ):
            self.fields[name].choices = [("", _("Choose")), *choices]  # type: ignore[attr-defined]

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        if queries.is_delivery(number=number):
            raise forms.ValidationError(
                sentence_of(rules.NUMBER_TAKEN.about(number=number))
                + " "
                + remedy_of(rules.NUMBER_TAKEN)
            )
        return number

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        species = given.get("species", "")
        if species in self.offered.controlled and not given.get("trade_papers"):
            name = dict(self.offered.species)[species]
            missing = rules.TRADE_PAPERS_MISSING.about(species=name)
            self.add_error("trade_papers", sentence_of(missing))
        return given

    @property
    def expected(self) -> rules.Expected | None:
        """Say what its planks should weigh, where the species is chosen and known."""
        return self.offered.expected.get(str(self["species"].value() or ""))

    def asked(self) -> dict[str, Any]:
        """Say it as the verb takes it."""
        given = dict(self.cleaned_data)
        given["supplier_id"] = int(given.pop("supplier"))
        given["species_id"] = int(given.pop("species"))
        return given
