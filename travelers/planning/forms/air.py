"""What is typed when the air of a room is read?"""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Number
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import rules

MINUTES = "%Y-%m-%dT%H:%M"


class LoggerForm(forms.Form):
    """The name of a logger, as it is written on it."""

    name = forms.CharField(
        label=_("Name on the logger"),
        max_length=rules.NAME_LENGTH,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class WorkshopForm(forms.Form):
    """The air in which dry wood lies between its room and the glue."""

    temperature_c = Number(label=_("Temperature (°C)"), unit="degC", decimals=1)
    humidity_pct = Number(label=_("Humidity (%)"), unit="%", decimals=1)


class AirForm(forms.Form):
    """One look at the thermometer and the hygrometer."""

    temperature_c = Number(
        label=_("Temperature (°C)"),
        unit="degC",
        decimals=1,
        most=Decimal(999),
        may_be_below_0=True,
    )
    humidity_pct = Number(
        label=_("Humidity (%)"), unit="%", decimals=1, most=Decimal(999)
    )
    read_at = forms.DateTimeField(
        label=_("Read at"),
        input_formats=[MINUTES, "%Y-%m-%d %H:%M"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MINUTES),
    )

    def __init__(self, *args: Any, at: datetime, **options: Any) -> None:
        super().__init__(*args, **options)
        self.at = at

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        warm, damp = given.get("temperature_c"), given.get("humidity_pct")
        if warm is not None and damp is not None:
            doubt = rules.cannot_be(float(warm), float(damp))
            if doubt:
                of_damp = doubt.code == rules.HUMIDITY_CANNOT_BE.code
                self.add_error(
                    "humidity_pct" if of_damp else "temperature_c",
                    f"{sentence_of(doubt)} {remedy_of(doubt)}",
                )
        if (read_at := given.get("read_at")) and read_at > self.at:
            late = rules.IN_THE_FUTURE.about(read_at=read_at.isoformat())
            self.add_error("read_at", f"{sentence_of(late)} {remedy_of(late)}")
        return given
