"""What shape has a press of a button, a reading, a hold?"""

from typing import Any
from uuid import UUID

from django import forms

from travelers.floor.actions import Going
from travelers.floor.queries import MOST_LISTED
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.kit.forms import share_fields
from travelers.kit.refusals import FORM_WRONG, Refused

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
        return without_nul(text).strip()[:64]


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


@share_fields
class ListForm(forms.Form):
    """A list of parts that go in or come out together, as its address names it."""

    wish = forms.ChoiceField(choices=[(w, w) for w in (Wish.LOAD, Wish.TAKE_OUT)])
    load = forms.UUIDField(required=False)
    # Codes with commas between them; a text that is no code stands in it too.
    parts = forms.CharField(required=False)
    code = forms.CharField(required=False)
    off = forms.CharField(required=False)
    seen = forms.CharField(required=False)

    def clean_parts(self) -> list[str]:
        given = without_nul(self.cleaned_data["parts"]).split(",")
        return list(dict.fromkeys(one for one in given if one.strip()))[:MOST_LISTED]

    def clean_code(self) -> str:
        return without_nul(self.cleaned_data["code"]).strip()


def read_going(rows: list[str]) -> list[Going]:
    """Read the parts of a confirmed list, each "code step event"."""
    going = []
    for row in rows[:MOST_LISTED]:
        try:
            code, step_id, event_id = row.split(" ")
            going.append(Going(read_code(code), int(step_id), UUID(event_id)))
        except ValueError as misshapen:
            raise Refused(FORM_WRONG) from misshapen
    return going


@share_fields
class CardForm(forms.Form):
    """A scan sent where no script runs: what was scanned, and what is on the screen."""

    event_id = forms.UUIDField()
    code = forms.CharField(required=False)
    part = forms.CharField(required=False)
    step = forms.IntegerField(required=False, min_value=1)
    check = forms.IntegerField(required=False, min_value=1)
    place = forms.IntegerField(required=False, min_value=1, max_value=1000)
    gauge = forms.IntegerField(required=False, min_value=1)
    doubted = forms.CharField(required=False, max_length=40)
    ask = forms.CharField(required=False)
    wish = forms.CharField(required=False)

    def clean_code(self) -> str:
        return without_nul(self.cleaned_data["code"]).strip()


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
