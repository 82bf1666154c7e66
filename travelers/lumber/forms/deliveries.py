"""What is typed when wood comes in?"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.core.validators import RegexValidator
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count, Number
from travelers.kit.words import remedy_of, sentence_of
from travelers.lumber import queries, rules
from travelers.lumber.queries import Offered
from travelers.lumber.rules import MOST_PLANKS_AT_ONCE, Sawn

FIRST_ROWS = 8
# As a hand writes it: the same as in the row above.
DITTO = {'"', "''", "″", "”", "〃"}

number_shape = RegexValidator(
    r"^(?=.*[0-9])[A-Za-z0-9][A-Za-z0-9.-]*$",
    _("Letters, digits, points and hyphens, with at least one digit; no spaces."),
)


class DeliveryForm(forms.Form):
    number = forms.CharField(
        label=_("Number of the delivery"), max_length=20, validators=[number_shape]
    )
    supplier = forms.ChoiceField(label=_("Supplier"))
    species = forms.ChoiceField(label=_("Species"))
    received_on = forms.DateField(
        label=_("Received on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    papers = forms.CharField(label=_("Delivery papers"), max_length=200, required=False)
    trade_papers = forms.CharField(
        label=_("Trade papers"),
        max_length=200,
        required=False,
        help_text=_(
            "Wood under trade control (CITES) needs their number; the law of the "
            "place decides."
        ),
    )

    def __init__(self, *args: Any, offered: Offered, **options: Any) -> None:
        super().__init__(*args, **options)
        self.offered = offered
        for name, choices in (
            ("supplier", offered.suppliers),
            ("species", offered.species),
        ):
            self.fields[name].choices = [("", _("Choose")), *choices]  # type: ignore[attr-defined]

    def clean_number(self) -> str:
        number: str = self.cleaned_data["number"]
        if queries.is_delivery(number=number):
            raise forms.ValidationError(
                sentence_of(rules.NUMBER_TAKEN.about(number=number))
                + " "
                + remedy_of(rules.NUMBER_TAKEN)
            )
        return number

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        species = given.get("species", "")
        if species in self.offered.controlled and not given.get("trade_papers"):
            name = dict(self.offered.species)[species]
            missing = rules.TRADE_PAPERS_MISSING.about(species=name)
            self.add_error("trade_papers", sentence_of(missing))
        return given

    def asked(self) -> dict[str, Any]:
        """Say it as the verb takes it."""
        given = dict(self.cleaned_data)
        given["supplier_id"] = int(given.pop("supplier"))
        given["species_id"] = int(given.pop("species"))
        return given


class PlankForm(forms.Form):
    """One row of planks; a row left empty is none."""

    use_required_attribute = False
    length_mm = Number(label=_("Length"), unit="mm", most=Decimal(20_000))
    width_mm = Number(label=_("Width"), unit="mm", most=Decimal(2_000))
    thickness_mm = Number(label=_("Thickness"), unit="mm", most=Decimal(500))
    mass_g = Count(label=_("Mass"), unit="g", most=1_000_000)

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        whole = len(given) == len(self.fields) and self.has_changed()
        if whole and (doubt := rules.not_wood(Sawn(**given))):
            self.add_error("mass_g", sentence_of(doubt))
        return given


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a cell, said by row and column."""

    cell: str
    row: int
    column: str
    words: str


class Planks:
    """The rows of planks as they were typed."""

    def __init__(
        self, typed: Mapping[str, Any] | None = None, *, judged: bool = True
    ) -> None:
        """Take the rows in; with ``judged`` they are to be used, else only shown."""
        self.is_begun = typed is not None
        self.count = _rows_of(typed)
        self.most = MOST_PLANKS_AT_ONCE
        if typed is not None and "more" in typed:
            self.count = min(self.count + FIRST_ROWS, self.most)
        cells = _repeated(typed or {}, self.count)
        self.rows = [
            PlankForm(
                cells if judged and typed is not None else None,
                prefix=_prefix(row),
                initial={} if judged else _row(cells, row),
                empty_permitted=True,
            )
            for row in range(self.count)
        ]

    @property
    def may_grow(self) -> bool:
        return self.count < self.most

    def are_good(self) -> bool:
        """Say whether each row is whole or empty, and one at least is whole."""
        return not self.faults() and bool(self.planks())

    def planks(self) -> list[Sawn]:
        return [
            Sawn(**row.cleaned_data)
            for row in self.rows
            if row.is_bound and row.is_valid() and row.has_changed()
        ]

    def faults(self) -> list[Fault]:
        return [
            Fault(
                row[name].id_for_label,
                number,
                str(row.fields[name].label),
                " ".join(map(str, errors)),
            )
            for number, row in enumerate(self.rows, start=1)
            for name, errors in row.errors.items()
        ]

    def lack(self) -> str:
        """Say what is missing where no row is filled at all."""
        if any(row.is_bound for row in self.rows) and not self.faults():
            return "" if self.planks() else gettext("Fill in at least one plank.")
        return ""


def _rows_of(typed: Mapping[str, Any] | None) -> int:
    said = str((typed or {}).get("rows", FIRST_ROWS))
    rows = int(said) if said.isdecimal() and len(said) < 4 else FIRST_ROWS
    return min(max(rows, 1), MOST_PLANKS_AT_ONCE)


def _prefix(row: int) -> str:
    return f"plank-{row + 1}"


def _row(cells: Mapping[str, str], row: int) -> dict[str, str]:
    return {
        name: cells.get(f"{_prefix(row)}-{name}", "") for name in PlankForm.base_fields
    }


def _repeated(typed: Mapping[str, Any], rows: int) -> dict[str, str]:
    """Read the cells, and put for a ditto what stands above it."""
    cells: dict[str, str] = {}
    for row in range(rows):
        for name in PlankForm.base_fields:
            value = str(typed.get(f"{_prefix(row)}-{name}", "")).strip()
            if value in DITTO and row:
                value = cells[f"{_prefix(row - 1)}-{name}"]
            cells[f"{_prefix(row)}-{name}"] = value
    return cells
