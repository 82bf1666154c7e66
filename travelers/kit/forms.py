"""How is a measured number taken from a form, as a hand types it?"""

from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from travelers.formulas.limits import NotANumber, Unread, read_number

UNREAD = {
    Unread.EMPTY: _("Type a number."),
    Unread.LETTERS: _("Type a number alone, for example 43.5."),
    Unread.THOUSANDS: _(
        "Type the number in one piece with one decimal mark, for example 1234.5."
    ),
    Unread.TOO_LONG: _("That is too long for a number."),
}


# Units whose sign is not on every keyboard are read by a name of letters.
SIGNS = {"degC": "°C", "degF": "°F"}


def said_unit(unit: str) -> str:
    return SIGNS.get(unit, unit)


class Number(forms.Field):
    """A number, with comma or point; its unit may be typed behind it.

    It is above nought unless it ``may_be_below_0``.
    """

    widget = forms.TextInput

    def __init__(
        self,
        *,
        unit: str = "",
        decimals: int = 2,
        most: Decimal = Decimal(100_000),
        may_be_below_0: bool = False,
        **options: Any,
    ) -> None:
        super().__init__(**options)
        self.unit, self.decimals, self.most = unit, decimals, most
        self.may_be_below_0 = may_be_below_0
        self.widget.attrs |= {
            "inputmode": "decimal" if decimals else "numeric",
            "autocomplete": "off",
            "class": "num",
        }

    def to_python(self, value: Any) -> Decimal | None:
        text = str(value).strip() if value is not None else ""
        return self._read(text) if text else None

    def _read(self, text: str) -> Decimal:
        try:
            typed = read_number(text)
        except NotANumber as fault:
            raise ValidationError(UNREAD[fault.reason], code="number") from fault
        if typed.unit not in (None, self.unit):
            said = gettext(
                "This is asked in {unit}; measure again or leave {typed} out."
            )
            other = said_unit(typed.unit or "")
            raise ValidationError(
                said.format(unit=said_unit(self.unit), typed=other)
                if self.unit
                else UNREAD[Unread.LETTERS],
                code="unit",
            )
        return self._fitting(typed.value)

    def _fitting(self, value: Decimal) -> Decimal:
        if value <= 0 and not self.may_be_below_0:
            raise ValidationError(_("This must be more than 0."), code="size")
        if value > self.most:
            said = gettext("This must be at most {most}.")
            raise ValidationError(said.format(most=self.most), code="size")
        rounded = round(value, self.decimals)
        if rounded != value:
            raise ValidationError(
                gettext("Give this with at most {n} decimals.").format(n=self.decimals)
                if self.decimals
                else gettext("Give this as a whole number."),
                code="decimals",
            )
        return rounded


class Count(Number):
    """A whole number above nought."""

    def __init__(self, *, most: int, **options: Any) -> None:
        super().__init__(decimals=0, most=Decimal(most), **options)

    def clean(self, value: Any) -> int | None:
        number = super().clean(value)
        return None if number is None else int(number)


class SharedFields(dict[str, forms.Field]):
    """The fields of a form that nobody changes for one reader.

    Django copies a form's fields each time it is asked, which costs more than
    reading what was sent.
    """

    def __deepcopy__(self, memo: dict[int, Any]) -> "SharedFields":
        return self


F = TypeVar("F", bound=forms.Form)


def share_fields(form: type[F]) -> type[F]:
    """Let all uses of a form share its fields; for forms that are only read."""
    form.base_fields = SharedFields(form.base_fields)
    return form
