"""How large shall a gauge study be, and what was measured in it?"""

from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Number
from travelers.quality.rules import STUDY_PARTS, STUDY_PEOPLE, STUDY_TRIALS


class StudyForm(forms.Form):
    characteristic = forms.IntegerField(min_value=1)
    parts = forms.IntegerField(
        label=_("Parts"), min_value=STUDY_PARTS[0], max_value=STUDY_PARTS[1], initial=10
    )
    people = forms.IntegerField(
        label=_("People"),
        min_value=STUDY_PEOPLE[0],
        max_value=STUDY_PEOPLE[1],
        initial=3,
    )
    trials = forms.IntegerField(
        label=_("Times each"),
        min_value=STUDY_TRIALS[0],
        max_value=STUDY_TRIALS[1],
        initial=2,
    )


class ValueForm(forms.Form):
    part = forms.IntegerField(min_value=1)
    value = Number(
        label=_("Shown"), decimals=4, most=Decimal(1_000_000), may_be_below_0=True
    )
