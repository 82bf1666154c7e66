"""Of which days is the flow asked, and of which parts?"""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django import forms

from travelers.planning.queries import (
    FLOW_SPANS,
    FLOW_USUAL,
    FlowAsked,
    FlowDays,
    part_of,
)


class FlowForm(forms.Form):
    """As an address says it; what cannot be read counts as not said."""

    days = forms.IntegerField(required=False)
    of = forms.CharField(max_length=20, required=False)
    since = forms.DateField(required=False)
    until = forms.DateField(required=False)

    def asked(self, *, at: datetime, zone: ZoneInfo) -> FlowAsked:
        self.is_valid()
        span = self.cleaned_data.get("days")
        return FlowAsked(
            span if span in FLOW_SPANS else FLOW_USUAL,
            part_of(text=self.cleaned_data.get("of") or ""),
            at,
            zone,
        )

    def listed(self, *, asked: FlowAsked) -> FlowDays:
        """Give the days of a list: those said, or all that the page shows."""
        first: date = self.cleaned_data.get("since") or asked.first
        last: date = self.cleaned_data.get("until") or asked.today
        return FlowDays(first, last) if first <= last else FlowDays(last, first)
