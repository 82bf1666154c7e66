"""What is typed when the moisture of a set is read?"""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Number
from travelers.kit.refusals import Refusal
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import rules
from travelers.lumber.rules import Metering, Pin, Sample
from travelers.planning.forms.air import MINUTES
from travelers.planning.queries import SetPage

POINTS = 3
SURE = _("I looked: it is so")


def _read_at() -> forms.DateTimeField:
    return forms.DateTimeField(
        label=_("Read at"),
        input_formats=[MINUTES, "%Y-%m-%d %H:%M"],
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MINUTES),
    )


class _Readings(forms.Form):
    """What both ways to read have: a moment, and a tick where something is doubted."""

    sure = forms.BooleanField(label=SURE, required=False)

    def __init__(self, *args: Any, page: SetPage, at: datetime, **options: Any) -> None:
        super().__init__(*args, **options)
        self.page, self.at = page, at

    @property
    def is_doubted(self) -> bool:
        return any(error.code == "doubt" for error in self._all_errors())

    def clean_read_at(self) -> datetime:
        read_at: datetime = self.cleaned_data["read_at"]
        if read_at > self.at:
            late = rules.IN_THE_FUTURE.about(read_at=read_at.isoformat())
            raise forms.ValidationError(_words(late))
        return read_at

    def doubt(self, refusal: Refusal) -> None:
        """Say what was refused, and let it be confirmed where that is possible."""
        asked = refusal.code in (
            rules.READ_RISING.code,
            rules.READ_OUT_OF_ORDER.code,
        )
        code = "doubt" if asked else "refused"
        self.add_error(None, forms.ValidationError(_words(refusal), code=code))

    def _all_errors(self) -> Iterator[forms.ValidationError]:
        for of_field in self.errors.as_data().values():
            yield from of_field


class MeterForm(_Readings):
    """What a meter showed in each piece, at up to three points."""

    prefix = "meter"
    gauge = forms.TypedChoiceField(label=_("Moisture meter"), coerce=int)
    wood_c = Number(
        label=_("Temperature of the wood (°C)"),
        unit="degC",
        decimals=1,
        most=Decimal(999),
        required=False,
        help_text=_("Leave it empty if the meter reckons with it."),
    )
    read_at = _read_at()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        meters = self.page.meters
        gauge: Any = self.fields["gauge"]
        gauge.choices = [(one.id, one.name) for one in meters]
        if len(meters) > 1:
            gauge.choices = [("", gettext("Choose")), *gauge.choices]
        for piece in self.page.pieces:
            for point in range(1, POINTS + 1):
                self.fields[_cell(piece.id, point)] = Number(
                    label=gettext("Piece {letter}, point {point} (%)").format(
                        letter=piece.letter, point=point
                    ),
                    unit="%",
                    decimals=1,
                    most=Decimal(999),
                    required=False,
                )

    def clean(self) -> dict[str, Any]:
        for piece in self.page.pieces:
            for point in range(1, POINTS + 1):
                name = _cell(piece.id, point)
                value = self.cleaned_data.get(name)
                if value is not None and (refused := rules.not_shown(value)):
                    self.add_error(name, _words(refused))
        if refused := rules.not_so_warm(self.cleaned_data.get("wood_c")):
            self.add_error("wood_c", _words(refused))
        if not self.errors and not self.pins():
            self.add_error(None, _words(rules.NOTHING_READ))
        return self.cleaned_data

    def rows(self) -> list[tuple[str, list[forms.BoundField]]]:
        """Give the cells of each piece, for the grid of the page."""
        return [
            (
                piece.letter,
                [self[_cell(piece.id, point)] for point in range(1, POINTS + 1)],
            )
            for piece in self.page.pieces
        ]

    def how(self) -> Metering:
        given = self.cleaned_data
        return Metering(given["read_at"], given["gauge"], given["wood_c"])

    def pins(self) -> list[Pin]:
        return [
            Pin(piece.id, point, value)
            for piece in self.page.pieces
            for point in range(1, POINTS + 1)
            if (value := self.cleaned_data.get(_cell(piece.id, point))) is not None
        ]


class OvenForm(_Readings):
    """What a sample of a piece weighed before and after the oven."""

    prefix = "oven"
    piece = forms.TypedChoiceField(label=_("Piece"), coerce=int)
    wet_mass_g = Number(label=_("Mass as cut (g)"), unit="g", most=Decimal(99_999))
    dry_mass_g = Number(label=_("Mass oven-dry (g)"), unit="g", most=Decimal(99_999))
    read_at = _read_at()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        piece: Any = self.fields["piece"]
        piece.choices = [(one.id, one.letter) for one in self.page.pieces]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        wet, dry = given.get("wet_mass_g"), given.get("dry_mass_g")
        if wet and dry and (refused := rules.not_weighed(wet, dry)):
            self.add_error("dry_mass_g", _words(refused))
        return self.cleaned_data

    def sample(self) -> Sample:
        given = self.cleaned_data
        return Sample(
            given["piece"], given["read_at"], given["wet_mass_g"], given["dry_mass_g"]
        )


def _cell(piece_id: int, point: int) -> str:
    return f"piece-{piece_id}-{point}"


def _words(refusal: Refusal) -> str:
    return f"{sentence_of(refusal)} {remedy_of(refusal)}"
