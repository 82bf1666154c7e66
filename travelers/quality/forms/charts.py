"""What is asked of a chart, and what is said of its signals?"""

from typing import Any

from django import forms

from travelers.formulas.control import Rule
from travelers.quality.queries.charts import Asked
from travelers.quality.rules import RuleSet


class AskedForm(forms.Form):
    """Which values by which rules, as an address says it; what is none is left out."""

    rules = forms.ChoiceField(
        choices=[(each, each) for each in RuleSet], required=False
    )
    station = forms.CharField(max_length=60, required=False)
    gauge = forms.CharField(max_length=60, required=False)
    cutter = forms.CharField(max_length=120, required=False)
    species = forms.CharField(max_length=40, required=False)
    smoothed = forms.BooleanField(required=False)
    within = forms.BooleanField(required=False)

    def asked(self) -> Asked:
        """Give what was asked; each field that cannot be read counts as not said."""
        self.is_valid()
        given: dict[str, Any] = {
            name: value for name, value in self.cleaned_data.items() if value
        }
        if "rules" in given:
            given["rules"] = RuleSet(given["rules"])
        return Asked(**given)


class BaseForm(forms.Form):
    since = forms.DateField()
    until = forms.DateField()


class AnswerSignalForm(forms.Form):
    event_id = forms.UUIDField()
    rules = forms.MultipleChoiceField(
        choices=[(each.value, each.value) for each in Rule]
    )
    cause = forms.CharField(max_length=200, required=False)
    action = forms.CharField(max_length=200, required=False)
