"""What is typed when a planner tries another floor?"""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

MOST_PLACES, MOST_HOURS = 20, 12


class WhatIfForm(forms.Form):
    """A name, and what would be otherwise: at a station, or in the order of orders."""

    name = forms.CharField(label=_("Name"), max_length=60)
    station = forms.ChoiceField(label=_("Station"), required=False)
    more_places = forms.IntegerField(
        label=_("Places more (below 0: fewer)"),
        required=False,
        min_value=-MOST_PLACES,
        max_value=MOST_PLACES,
    )
    longer_h = forms.IntegerField(
        label=_("Hours more a day"), required=False, min_value=1, max_value=MOST_HOURS
    )
    out_from = forms.DateField(
        label=_("Out of use from"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    out_until = forms.DateField(
        label=_("Out of use until, that day included"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    first = forms.ChoiceField(label=_("Order that goes first"), required=False)

    def __init__(
        self,
        *args: Any,
        stations: Sequence[tuple[str, str]],
        orders: Sequence[str],
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        nothing = ("", "–")
        station, first = self.fields["station"], self.fields["first"]
        station.choices = [nothing, *stations]  # type: ignore[attr-defined]
        first.choices = [nothing, *((one, one) for one in orders)]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        first, last = said.get("out_from"), said.get("out_until")
        if bool(first) != bool(last) or (first and last and last < first):
            self.add_error(
                "out_until", gettext("Say both days, the first one first, or neither.")
            )
        at_station = said.get("more_places") or said.get("longer_h") or first
        if at_station and not said.get("station"):
            self.add_error("station", gettext("Say at which station."))
        if not at_station and not said.get("first"):
            raise ValidationError(gettext("Say what would be otherwise."))
        return said

    def changes(self) -> dict[str, Any]:
        """Give what was typed as it is kept."""
        said, code = self.cleaned_data, self.cleaned_data["station"]
        found: dict[str, Any] = {}
        if said["more_places"]:
            found["more_places"] = {code: said["more_places"]}
        if said["longer_h"]:
            found["longer_h"] = {code: said["longer_h"]}
        if said["out_from"]:
            days = (said["out_from"], said["out_until"])
            found["out"] = {code: [day.isoformat() for day in days]}
        if said["first"]:
            found["first"] = [said["first"]]
        return found
