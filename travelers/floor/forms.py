"""What shape has a press of a button, a reading, a hold?"""

from typing import Any

from django import forms

from travelers.floor.rules import Wish
from travelers.formulas import codes, layouts
from travelers.kit.forms import share_fields

LONGEST_REASON = 200
AT_STATION = (
    Wish.START,
    Wish.FINISH,
    Wish.LOAD,
    Wish.TAKE_OUT,
    Wish.MATE,
    Wish.HOLD,
    Wish.ALLOW,
)


def without_nul(text: str) -> str:
    """Take out the one character that no text in PostgreSQL can have."""
    return text.replace("\0", "")


def read_code(text: str) -> str:
    """Give the code in a scan, or the text as it came, for the ledger to refuse."""
    try:
        return codes.parse(text)
    except codes.NotACode:
        return layouts.meant(text) or without_nul(text).strip()[:64]


@share_fields
class WishForm(forms.Form):
    """A button or a mate's scan at a station."""

    event_id = forms.UUIDField()
    wish = forms.ChoiceField(choices=[(wish, wish) for wish in AT_STATION])
    code = forms.CharField(required=False)
    step = forms.IntegerField(required=False, min_value=1)
    mate = forms.CharField(required=False)
    gate = forms.CharField(required=False, max_length=40)
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)
    only_part = forms.BooleanField(required=False)

    def clean_code(self) -> str:
        return read_code(self.cleaned_data["code"])

    def clean_mate(self) -> str:
        return read_code(self.cleaned_data["mate"])

    def said(self) -> dict[str, Any]:
        """Give what the wish says, in the words of its event."""
        given = self.cleaned_data
        match Wish(given["wish"]):
            case Wish.MATE:
                return {"mate": given["mate"]}
            case Wish.HOLD:
                return {"reason": given["reason"], "only_part": given["only_part"]}
            case Wish.ALLOW:
                return {"gate": given["gate"], "reason": given["reason"]}
        return {}


@share_fields
class ReadingForm(forms.Form):
    """A value of one check at one place, as it was typed."""

    event_id = forms.UUIDField()
    step = forms.IntegerField(min_value=1)
    check = forms.IntegerField(min_value=1)
    place = forms.IntegerField(min_value=1, max_value=1000)
    gauge = forms.IntegerField(required=False, min_value=1)
    value = forms.CharField(required=False, strip=False)
    confirm = forms.CharField(required=False)
    instead = forms.CharField(required=False)

    def typed(self) -> str:
        """Give what was typed, or what was chosen instead when it was doubted."""
        given = self.cleaned_data
        return str(given["instead"] or given["value"])


@share_fields
class ShownForm(forms.Form):
    """What a station's address names: a part, and perhaps a step, a check, a gauge."""

    code = forms.CharField(required=False)
    step = forms.IntegerField(required=False, min_value=1)
    check = forms.IntegerField(required=False, min_value=1)
    place = forms.IntegerField(required=False, min_value=1, max_value=1000)
    gauge = forms.IntegerField(required=False, min_value=1)
    part = forms.CharField(required=False)
    seen = forms.CharField(required=False)
    scanned = forms.BooleanField(required=False)


class HoldForm(forms.Form):
    """A stop on an instrument or one of its parts, placed from the desk."""

    event_id = forms.UUIDField()
    code = forms.CharField()
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)

    def clean_code(self) -> str:
        return read_code(self.cleaned_data["code"])


class LiftForm(forms.Form):
    event_id = forms.UUIDField()
    hold = forms.UUIDField()
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)
