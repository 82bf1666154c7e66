"""How large shall a gauge study be, and what is said in it?"""

from django import forms
from django.utils.translation import gettext_lazy as _

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


class StudyPartForm(forms.Form):
    code = forms.CharField(label=_("Tag of a part"), max_length=512)


class CallOffForm(forms.Form):
    reason = forms.CharField(label=_("Because"), max_length=200)


class StudyValueForm(forms.Form):
    """A value as it was typed at the bench, or what was chosen when it was doubted."""

    event_id = forms.UUIDField()
    part = forms.IntegerField(min_value=1)
    value = forms.CharField(required=False, strip=False)
    confirm = forms.CharField(required=False)
    instead = forms.CharField(required=False)


class TakeBackForm(forms.Form):
    back = forms.IntegerField(min_value=1)
