"""What is typed when an order is made or a plank is cut?"""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count, Number
from travelers.kit.words import label, remedy_of, sentence_of
from travelers.lumber import rules as lumber
from travelers.lumber.forms import number_shape
from travelers.lumber.queries import PieceRow, SetRow
from travelers.lumber.rules import MOST_PIECES, Cut, Purpose, Sawn
from travelers.orders import queries, rules
from travelers.orders.queries import PlankPage
from travelers.orders.queries.planks import MOST_SETS, Need
from travelers.routes.queries import Buildable

OTHER = "other"


class OrderForm(forms.Form):
    number = forms.CharField(
        label=_("Number of the order"), max_length=20, validators=[number_shape]
    )
    what = forms.ChoiceField(label=_("Model and finish"))
    quantity = Count(label=_("Quantity"), most=500)
    due_on = forms.DateField(
        label=_("Due on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    priority = Count(
        label=_("Priority"),
        most=9,
        initial=5,
        help_text=_("From 1 to 9; of two orders due on one day the lower goes first."),
    )
    note = forms.CharField(label=_("Note"), max_length=200, required=False)

    def __init__(
        self, *args: Any, buildable: tuple[Buildable, ...], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.fields["what"].choices = [("", _("Choose"))] + [  # type: ignore[attr-defined]
            (
                model.name,
                [(f"{model.id}:{finish}", finish) for finish in model.finishes],
            )
            for model in buildable
        ]

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        if queries.is_order(number=number):
            taken = rules.ORDER_NUMBER_TAKEN.about(order=number)
            raise forms.ValidationError(f"{sentence_of(taken)} {remedy_of(taken)}")
        return number

    def asked(self) -> dict[str, Any]:
        """Say it as the verb takes it."""
        given = dict(self.cleaned_data)
        model, _colon, given["finish"] = given.pop("what").partition(":")
        return given | {"model_id": int(model)}


class CutForm(forms.Form):
    """Which sets to cut: as a model needs them, or of other sizes."""

    use_required_attribute = False
    what = forms.ChoiceField(
        label=_("For"),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose for what the sets are.")},
    )
    count = Count(label=_("How many sets"), most=MOST_SETS, initial=1)
    purpose = forms.ChoiceField(label=_("Purpose"), choices=[], required=False)
    pieces = Count(label=_("Pieces of a set"), most=MOST_PIECES, required=False)
    length_mm = Number(
        label=_("Length (mm)"), unit="mm", most=Decimal(20_000), required=False
    )
    width_mm = Number(
        label=_("Width (mm)"), unit="mm", most=Decimal(2_000), required=False
    )
    thickness_mm = Number(
        label=_("Thickness (mm)"), unit="mm", most=Decimal(500), required=False
    )
    SIZES = ("pieces", "length_mm", "width_mm", "thickness_mm")

    def __init__(self, *args: Any, page: PlankPage, **options: Any) -> None:
        super().__init__(*args, **options)
        self.page = page
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            *((str(need.id), _said(need)) for need in page.needs),
            (OTHER, _("Other sizes")),
        ]
        self.fields["purpose"].choices = [(p, label(p)) for p in Purpose]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("what") == OTHER:
            for name in self.SIZES:
                if given.get(name) is None and name not in self.errors:
                    self.add_error(name, _("Type a number."))
        if not self.errors:
            self._refuse_too_much(given["count"])
        return given

    def _refuse_too_much(self, sets: int) -> None:
        plank = self.page.plank
        refused = lumber.does_not_fit(
            plank=plank.number,
            whole=plank.size,
            gone_mm3=plank.gone_mm3,
            cut=self.cut,
            sets=sets,
        )
        if refused:
            self.add_error("count", f"{sentence_of(refused)} {remedy_of(refused)}")

    @property
    def sizes(self) -> list[forms.BoundField]:
        return [self[name] for name in ("purpose", *self.SIZES)]

    @property
    def need(self) -> Need | None:
        what = self.cleaned_data["what"]
        return None if what == OTHER else self.page.need(int(what))

    @property
    def cut(self) -> Cut:
        if self.need:
            return self.need.cut
        return Cut(*(self.cleaned_data[name] for name in self.SIZES))

    def asked(self) -> dict[str, Any]:
        """Say it as the verb takes it."""
        purpose = self.need.branch if self.need else self.cleaned_data["purpose"]
        return {
            "purpose": Purpose(purpose),
            "cut": self.cut,
            "count": self.cleaned_data["count"],
        }


def _said(need: Need) -> str:
    cut = need.cut
    said = ngettext(
        "{model}, {branch}: {pieces} piece of {length} × {width} × {thickness} mm",
        "{model}, {branch}: {pieces} pieces of {length} × {width} × {thickness} mm",
        cut.pieces,
    )
    left = (
        ngettext("wood for {n} more set", "wood for {n} more sets", need.fits)
        if need.fits
        else gettext("not enough wood left")
    )
    return f"{said} ({left})".format(
        n=need.fits,
        model=need.model,
        branch=label(need.branch),
        pieces=cut.pieces,
        length=_plain(cut.length_mm),
        width=_plain(cut.width_mm),
        thickness=_plain(cut.thickness_mm),
    )


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"


class WeighForm(forms.Form):
    """The mass of each piece of a set; a piece left empty stays as it was."""

    use_required_attribute = False

    def __init__(
        self, typed: Mapping[str, Any] | None = None, *, plank_set: SetRow
    ) -> None:
        super().__init__(typed, prefix=f"set-{plank_set.id}")
        self.plank_set = plank_set
        for piece in plank_set.pieces:
            self.fields[piece.letter] = Count(
                label=gettext("Mass of piece {letter}").format(letter=piece.letter),
                unit="g",
                most=1_000_000,
                required=False,
                initial=piece.mass_g,
            )
            # The row's form stands in another cell.
            self.fields[piece.letter].widget.attrs["form"] = f"weigh-{plank_set.id}"

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        for piece in self.plank_set.pieces:
            mass = given.get(piece.letter)
            if mass is None:
                continue
            sawn = Sawn(piece.length_mm, piece.width_mm, piece.thickness_mm, mass)
            if doubt := lumber.not_wood(sawn):
                self.add_error(piece.letter, sentence_of(doubt))
        return given

    @property
    def rows(self) -> list[tuple[PieceRow, forms.BoundField]]:
        return [(piece, self[piece.letter]) for piece in self.plank_set.pieces]

    def masses_g(self) -> dict[int, int]:
        return {
            piece.id: mass
            for piece in self.plank_set.pieces
            if (mass := self.cleaned_data.get(piece.letter)) is not None
        }
