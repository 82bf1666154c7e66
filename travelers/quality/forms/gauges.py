"""What may the shop decide of gauges that are overdue?"""

from django import forms
from django.utils.translation import gettext_lazy as _

from travelers.kit.words import label
from travelers.shop.rules import OverdueGauges


class GaugeBadForm(forms.Form):
    """Until when a gauge was known to be good, and what was seen of it."""

    good_until_on = forms.DateField()
    reason = forms.CharField(max_length=200)


class GaugeBackForm(forms.Form):
    """The calibration that puts a gauge back into use."""

    calibrated_on = forms.DateField()
    due_on = forms.DateField()


class OverdueForm(forms.Form):
    """Whether an overdue gauge is refused, or what it reads is only marked."""

    overdue_gauges = forms.ChoiceField(
        label=_(
            "A reading with a gauge that is overdue for calibration or was found bad"
        ),
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: object, **options: object) -> None:
        super().__init__(*args, **options)  # type: ignore[arg-type]
        choices = [(each.value, label(each)) for each in OverdueGauges]
        self.fields["overdue_gauges"].choices = choices  # type: ignore[attr-defined]
