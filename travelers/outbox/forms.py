"""What shape has an entry that comes out of a tablet's store?"""

import json
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from django import forms

from travelers.floor.forms import (
    AT_STATION,
    MOST_NUMBER,
    ReadingForm,
    WishForm,
    moment_of,
    typed_in,
)
from travelers.floor.rules import Wish
from travelers.kit.forms import share_fields
from travelers.kit.refusals import FORM_WRONG, Refused
from travelers.outbox.rules import MOST_RECORDS, TOO_MANY, Damaged, Entry
from travelers.quality.forms import DefectForm

# No clock is years off.
MOST_OFF_MS = 10 * 366 * 86_400_000
NAMESPACE = UUID("6a1c6f0e-53c2-4d0e-9e57-1b7d3c1f8a42")
KEPT_CHARACTERS = 4000


@share_fields
class EntryForm(forms.Form):
    """What every entry has, whatever was pressed."""

    id = forms.UUIDField()
    number = forms.IntegerField(required=False, min_value=0, max_value=MOST_NUMBER)
    made_at = forms.CharField(max_length=40)
    offset_ms = forms.FloatField(
        required=False, min_value=-MOST_OFF_MS, max_value=MOST_OFF_MS
    )
    step = forms.IntegerField(required=False, min_value=1, max_value=MOST_NUMBER)
    wish = forms.ChoiceField(
        choices=[(wish, wish) for wish in (*AT_STATION, Wish.READ, Wish.DEFECT)]
    )

    def clean_made_at(self) -> datetime:
        made_at = moment_of(self.cleaned_data["made_at"])
        if made_at is None:
            raise forms.ValidationError("no moment")
        return made_at


def read_sending(body: bytes) -> list[Any]:
    """Take a sending apart into its entries, as they came."""
    try:
        sent = _clean(json.loads(body, parse_constant=str))
    except (ValueError, RecursionError) as fault:
        raise Refused(FORM_WRONG) from fault
    records = sent.get("records") if isinstance(sent, dict) else None
    if not isinstance(records, list):
        raise Refused(FORM_WRONG)
    if len(records) > MOST_RECORDS:
        raise Refused(TOO_MANY)
    return records


def read_entry(claim: Any, *, station: str) -> Entry | Damaged:
    """Read one entry; what cannot be read still gets an id of its own."""
    if not isinstance(claim, dict):
        return _damaged(claim)
    shape = EntryForm(claim)
    carried, data = claim.get("pass"), claim.get("data") or {}
    flat = isinstance(data, dict) and not any(
        isinstance(value, dict | list) for value in data.values()
    )
    if not (shape.is_valid() and isinstance(carried, str) and flat):
        return _damaged(claim)
    kept = shape.cleaned_data
    asked = {
        **{name: value for name, value in data.items() if value is not None},
        "event_id": str(kept["id"]),
        "code": claim.get("code") or "",
        "step": kept["step"],
        "wish": kept["wish"],
        "station": station,
    }
    wish = Wish(kept["wish"])
    form = _form_of(wish, asked)
    if not form.is_valid():
        return _damaged(claim)
    return Entry(
        id=kept["id"],
        number=kept["number"],
        made_at=kept["made_at"],
        offset=timedelta(milliseconds=kept["offset_ms"] or 0),
        carried=carried,
        wish=wish,
        given=form.cleaned_data,
        said=form.said() if isinstance(form, WishForm) else {},
        typed=typed_in(form.cleaned_data) if isinstance(form, ReadingForm) else "",
        claim=kept_of(claim),
    )


def _form_of(wish: Wish, asked: dict[str, Any]) -> forms.Form:
    if wish is Wish.READ:
        return ReadingForm(asked)
    return DefectForm(asked) if wish is Wish.DEFECT else WishForm(asked)


def _damaged(claim: Any) -> Damaged:
    try:
        own = UUID(str(claim["id"]))
    except (TypeError, LookupError, ValueError):
        own = id_of(claim)
    return Damaged(own, kept_of(claim))


def id_of(claim: Any) -> UUID:
    """Make an id of what an entry says, the same each time that it comes."""
    return uuid5(NAMESPACE, json.dumps(claim, sort_keys=True))


def kept_of(claim: Any) -> Any:
    """Keep an entry as it came, without the pass that it came with."""
    if not isinstance(claim, dict):
        claim = {"sent": claim}
    claim = {name: value for name, value in claim.items() if name != "pass"}
    text = json.dumps(claim)
    return claim if len(text) <= KEPT_CHARACTERS else {"cut": text[:KEPT_CHARACTERS]}


def _clean(told: Any) -> Any:
    """Take out of all texts what no database takes: NUL and halves of characters."""
    if isinstance(told, str):
        return told.replace("\0", "").encode("utf-8", "replace").decode()
    if isinstance(told, list):
        return [_clean(one) for one in told]
    if isinstance(told, dict):
        return {_clean(name): _clean(value) for name, value in told.items()}
    return told
