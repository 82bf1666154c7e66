"""What may be said of a defect, and what of a decision?"""

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from travelers.kit.words import label
from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import Line

# A keyboard presses the picture at no place at all, which browsers send as 0, 0.
NOWHERE = (Decimal(0), Decimal(0))
MIDDLE = (Decimal("0.5"), Decimal("0.5"))
THOUSANDTH = Decimal("0.001")

Place = tuple[Decimal, Decimal]
GONE = {
    Decision.SCRAP: _("scrap the instrument"),
    Decision.REPLACE: _("scrap the part, make it anew"),
}


class DefectForm(forms.Form):
    """A defect as the station's screen sends it; the screen shows its own choices."""

    step = forms.IntegerField(min_value=1)
    station = forms.CharField(max_length=12, required=False)
    event_id = forms.UUIDField()
    kind = forms.CharField(max_length=20)
    severity = forms.ChoiceField(choices=[(each, each) for each in Severity])
    x = forms.DecimalField(min_value=0, max_value=1, decimal_places=3)
    y = forms.DecimalField(min_value=0, max_value=1, decimal_places=3)
    note = forms.CharField(max_length=200, required=False)

    def clean_severity(self) -> Severity:
        return Severity(self.cleaned_data["severity"])


class DecisionForm(forms.Form):
    decision = forms.ChoiceField(label=_("Decision"), widget=forms.RadioSelect)
    from_operation = forms.TypedChoiceField(
        label=_("Rework: go back to"),
        help_text=_("From there on, every operation up to this one is done again."),
        coerce=int,
        empty_value=None,
        required=False,
    )
    reason = forms.CharField(label=_("Reason"), max_length=200)

    def __init__(
        self,
        *args: Any,
        usual: str,
        ways_back: Iterable[Line],
        may_replace: bool,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        choices = [
            (each.value, GONE.get(each) or label(each))
            for each in Decision
            if may_replace or each is not Decision.REPLACE
        ]
        # What is usually decided of such a defect stands first.
        choices.sort(key=lambda choice: choice[0] != usual)
        self.fields["decision"].choices = choices  # type: ignore[attr-defined]
        self.fields["from_operation"].choices = [  # type: ignore[attr-defined]
            ("", "–"),
            *((line.id, f"{line.number} {line.name}") for line in ways_back),
        ]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        rework = said.get("decision") == Decision.REWORK
        if rework and "from_operation" in said and not said["from_operation"]:
            self.add_error("from_operation", _("Say where the rework begins."))
        return said


class VerificationForm(forms.Form):
    note = forms.CharField(
        label=_("What was seen (may stay empty)"), max_length=200, required=False
    )


def touched_place(given: Mapping[str, str]) -> Place | None:
    """Read where the outline was touched: as shares, or in pixels of the picture.

    A pressed picture sends ``place.x`` and ``place.y`` in pixels; ``wide`` and
    ``high`` say how large it was shown.
    """
    if "x" in given:
        return _place(given.get("x"), given.get("y"), "1", "1")
    place = _place(
        given.get("place.x"), given.get("place.y"), given.get("wide"), given.get("high")
    )
    return MIDDLE if place == NOWHERE else place


def _place(
    x: str | None, y: str | None, wide: str | None, high: str | None
) -> Place | None:
    try:
        shares = (
            Decimal(x or "") / Decimal(wide or ""),
            Decimal(y or "") / Decimal(high or ""),
        )
    except (ArithmeticError, InvalidOperation):
        return None
    if not all(share.is_finite() for share in shares):
        return None
    across, down = (
        min(max(share, Decimal(0)), Decimal(1)).quantize(THOUSANDTH) for share in shares
    )
    return across, down
