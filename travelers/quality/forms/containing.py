"""What is said when all that came of a thing is held, and when it is let go?"""

from typing import Any

from django import forms

# A number longer than that is none of ours.
LONGEST = 18


class ContainForm(forms.Form):
    """What shall be held and why; ``uuid`` makes two presses one deed."""

    uuid = forms.UUIDField()
    kind = forms.SlugField(max_length=20)
    key = forms.CharField(max_length=40)
    since = forms.DateField(required=False)
    reason = forms.CharField(max_length=200, required=False)


class Numbers(forms.Field):
    """Which rows are ticked, by their numbers."""

    widget = forms.SelectMultiple

    def to_python(self, value: Any) -> tuple[int, ...]:
        given = [text for text in value or () if len(text) < LONGEST]
        if not all(text.isdecimal() for text in given):
            raise forms.ValidationError("no number", code="number")
        return tuple(map(int, given))


class LetGoForm(forms.Form):
    """Which of the contained things are let go and why; ``all`` is a button."""

    one = Numbers(required=False)
    all = forms.CharField(max_length=3, required=False)
    reason = forms.CharField(max_length=200, required=False)
