"""Of which defect is asked what its instruments have in common?"""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class CommonForm(forms.Form):
    """A kind of defect and a time; the page shows the kinds and models that are."""

    kind = forms.CharField(max_length=20)
    model = forms.CharField(max_length=60, required=False)
    since = forms.DateField(label=_("Found since"))
    until = forms.DateField(label=_("Found until"))

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        since, until = given.get("since"), given.get("until")
        if since and until and since > until:
            self.add_error("until", _("The last day must not be before the first."))
        return given
