"""Of which time, model and stage are defects counted?"""

from datetime import date
from typing import Any

from django import forms

from travelers.quality.queries import ParetoAsked


class ParetoForm(forms.Form):
    """As an address says it; what cannot be read counts as not said."""

    since = forms.DateField(required=False)
    until = forms.DateField(required=False)
    model = forms.CharField(max_length=60, required=False)
    stage = forms.CharField(max_length=40, required=False)

    def asked(self, *, since: date, until: date) -> ParetoAsked:
        self.is_valid()
        given: dict[str, Any] = {
            name: value for name, value in self.cleaned_data.items() if value
        }
        found = ParetoAsked(**{"since": since, "until": until} | given)
        return found if found.since <= found.until else ParetoAsked(since, until)
