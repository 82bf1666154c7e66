"""What shape has a press of a button, a reading, a hold?"""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext_lazy as _

from travelers.floor.actions import Going
from travelers.floor.queries import MOST_LISTED
from travelers.floor.rules import Wish
from travelers.floor.rules.origin import Origin
from travelers.floor.rules.pins import LONGEST_PIN
from travelers.formulas import codes, layouts
from travelers.kit.forms import share_fields
from travelers.kit.refusals import FORM_WRONG, Refused

LONGEST_REASON = 200
# No table holds a larger number.
MOST_NUMBER = 2**63 - 1
AT_STATION = (
    Wish.START,
    Wish.FINISH,
    Wish.LOAD,
    Wish.TAKE_OUT,
    Wish.MATE,
    Wish.USE,
    Wish.HOLD,
    Wish.ALLOW,
    Wish.DECLINE,
    Wish.ASK,
    Wish.UNDO,
)
# What a lead says to a question, by the lead's own hand or at another's tablet.
ANSWERS = (Wish.ALLOW, Wish.DECLINE)

# The presses that look at the batches in use.
BEGIN_AND_END = (Wish.START, Wish.FINISH)

# Which fields of the form a wish says something with.
SAID = {
    Wish.MATE: ("mate",),
    Wish.USE: ("serial",),
    Wish.HOLD: ("reason", "only_part"),
    Wish.ALLOW: ("gate", "reason"),
    Wish.DECLINE: ("gate", "reason"),
    Wish.ASK: ("gate",),
    Wish.UNDO: ("event",),
}


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
    """A button, or the scan of a mate or a serial number, at a station.

    ``batches`` are those that a tablet without network was brought, with commas
    between their codes.
    """

    event_id = forms.UUIDField()
    wish = forms.ChoiceField(choices=[(wish, wish) for wish in AT_STATION])
    code = forms.CharField(required=False)
    step = forms.IntegerField(required=False, min_value=1)
    mate = forms.CharField(required=False)
    serial = forms.CharField(required=False)
    batches = forms.CharField(required=False, max_length=80)
    gate = forms.CharField(required=False, max_length=40)
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)
    only_part = forms.BooleanField(required=False)
    event = forms.UUIDField(required=False)
    load = forms.UUIDField(required=False)

    def clean_code(self) -> str:
        return read_code(self.cleaned_data["code"])

    def clean_mate(self) -> str:
        return read_code(self.cleaned_data["mate"])

    def clean_serial(self) -> str:
        return without_nul(self.cleaned_data["serial"]).strip()

    def clean_batches(self) -> str:
        given = without_nul(self.cleaned_data["batches"]).split(",")
        return ",".join(read_code(one) for one in given if one.strip())

    def said(self) -> dict[str, Any]:
        """Give what the wish says, in the words of its event."""
        given = {**self.cleaned_data, "event": str(self.cleaned_data["event"] or "")}
        if given["wish"] == Wish.LOAD:
            # Alone it is in no load, and says nothing of one.
            return {"load": str(given["load"])} if given["load"] else {}
        if given["wish"] in BEGIN_AND_END:
            return {"batches": given["batches"]} if given["batches"] else {}
        return {name: given[name] for name in SAID.get(Wish(given["wish"]), ())}


@share_fields
class AnswerForm(forms.Form):
    """A lead's yes or no to a question; at another's tablet with who it is."""

    event_id = forms.UUIDField()
    wish = forms.ChoiceField(choices=[(wish, wish) for wish in ANSWERS])
    step = forms.IntegerField(min_value=1)
    gate = forms.CharField(max_length=40)
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)
    number = forms.CharField(required=False, max_length=150)
    pin = forms.CharField(required=False, max_length=128, strip=False)
    badge = forms.CharField(required=False, max_length=512)


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


def typed_in(given: Mapping[str, Any]) -> str:
    """Give what was typed, or what was chosen instead when it was doubted."""
    return str(given["instead"] or given["value"])


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
    """Read the parts of a confirmed list, each "code step event".

    A tablet that kept it writes its own number behind.
    """
    going = []
    for row in rows[:MOST_LISTED]:
        try:
            code, step_id, event_id, *number = row.split(" ", 3)
            said = number_of("".join(number))
            going.append(Going(read_code(code), int(step_id), UUID(event_id), said))
        except ValueError as misshapen:
            raise Refused(FORM_WRONG) from misshapen
    return going


def origin_of(given: Mapping[str, Any], *, tablet_id: int | None) -> Origin:
    """Read what a tablet that keeps its presses says of one: its number and time.

    It tells of the press and stops none: what cannot be read is left out.
    """
    return Origin(
        tablet_id=tablet_id,
        number=number_of(given.get("tablet_number", "")),
        tablet_at=moment_of(given.get("tablet_at", "")),
    )


def number_of(text: str) -> int | None:
    digits = text.isascii() and text.isdecimal() and len(text) <= len(str(MOST_NUMBER))
    return int(text) if digits and int(text) <= MOST_NUMBER else None


def moment_of(text: str) -> datetime | None:
    """Read a moment with its zone; one without is none."""
    try:
        moment = datetime.fromisoformat(text)
        return moment.astimezone(UTC) if moment.tzinfo else None
    except (ValueError, OverflowError):
        return None


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


class BatchForm(forms.Form):
    """A batch that is in use at a station from now on, and what stands there."""

    batch = forms.CharField(max_length=512)
    code = forms.CharField(required=False)
    step = forms.IntegerField(required=False, min_value=1, max_value=MOST_NUMBER)

    def clean_batch(self) -> str:
        return read_code(self.cleaned_data["batch"])

    def clean_code(self) -> str:
        return read_code(self.cleaned_data["code"])


number_shape = RegexValidator(
    r"^[0-9A-Za-z][0-9A-Za-z./_-]*$",
    _("As it is printed on it: letters, digits, points, slashes and hyphens."),
)


class TakeBatchInForm(forms.Form):
    """What is read off a batch that came."""

    material = forms.ChoiceField(label=_("Material"))
    number = forms.CharField(
        label=_("Its maker’s batch number"), max_length=24, validators=[number_shape]
    )
    received_on = forms.DateField(
        label=_("Received on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    expires_on = forms.DateField(
        label=_("Good until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(
        self, *args: Any, materials: Iterable[tuple[int, str]], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        offered = [("", _("Choose")), *((str(pk), name) for pk, name in materials)]
        self.fields["material"].choices = offered  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        received, expires = given.get("received_on"), given.get("expires_on")
        if received and expires and expires < received:
            self.add_error("expires_on", _("That is before it was received."))
        return given


class CutterForm(forms.Form):
    """Which cutter was mounted at which head of a station."""

    head = forms.CharField(label=_("Head"), max_length=20)
    number = forms.CharField(
        label=_("Number on the cutter"), max_length=20, validators=[number_shape]
    )
    life_parts = forms.IntegerField(
        label=_("Good for how many parts"), min_value=1, max_value=1_000_000
    )


class BatchHoldForm(forms.Form):
    """A stop on a batch, under the page's own number for the press."""

    event_id = forms.UUIDField()
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)


class BatchLiftForm(forms.Form):
    hold = forms.UUIDField()
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)


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


class PinForm(forms.Form):
    """What shall stand first, in which list (none: in all), why and until when."""

    event_id = forms.UUIDField()
    part = forms.CharField(required=False, max_length=8)
    station = forms.CharField(required=False, max_length=12)
    reason = forms.CharField(required=False, max_length=LONGEST_PIN)
    until_on = forms.DateField()


class UnpinForm(forms.Form):
    pin = forms.UUIDField()


class SwapForm(forms.Form):
    """Two parts that shall be swapped, and the instruments that they were shown in."""

    event_id = forms.UUIDField()
    part = forms.CharField(max_length=512)
    of = forms.CharField(max_length=20)
    to = forms.CharField(max_length=20)
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # A word of the language is no name of a field in a class.
        self.fields["with"] = forms.CharField(max_length=512)

    def clean(self) -> dict[str, Any]:
        given = {**self.cleaned_data}
        for name in ("part", "with"):
            given[name] = read_code(given.get(name, ""))
        return given


class AnewForm(forms.Form):
    """Which wood a part that is made anew gets, or why the instrument is given up."""

    event_id = forms.UUIDField()
    wish = forms.ChoiceField(choices=[(each, each) for each in (Wish.WOOD, Wish.SCRAP)])
    set = forms.IntegerField(required=False, min_value=1)
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)

    def clean(self) -> dict[str, Any]:
        given = {**self.cleaned_data}
        needed = "set" if given.get("wish") == Wish.WOOD else "reason"
        if not given.get(needed):
            self.add_error(needed, "")
        return given


class TakeBackForm(forms.Form):
    """Something to be taken back, with what the reader saw hanging on it."""

    event_id = forms.UUIDField()
    reason = forms.CharField(required=False, max_length=LONGEST_REASON)
    seen = forms.CharField(required=False)

    def clean_seen(self) -> list[str]:
        return str(self.cleaned_data["seen"]).split()
