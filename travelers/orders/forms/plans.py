"""What is typed when the cuts of a plank are planned?"""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from travelers.kit.forms import Count, Number
from travelers.kit.refusals import Refused
from travelers.kit.words import label, remedy_of, sentence_of
from travelers.orders import queries
from travelers.orders.queries import Plan, PlankPage, Saw, Wish
from travelers.orders.queries.planks import MOST_SETS, Need

# What a table saw takes, and what an edge and a checked end lose.
# Common practice, no source; the sawyer types their own.
KERF_MM, EDGE_TRIM_MM, END_TRIM_MM = "3", "5", "25"
MOST_KERF_MM, MOST_TRIM_MM = Decimal(20), Decimal(1_000)


class Measure(Number):
    """A number that may be nought."""

    def _fitting(self, value: Decimal) -> Decimal:
        return value if value == 0 else super()._fitting(value)


class PlanForm(forms.Form):
    """How many sets of each need, of how much sound wood, by which saw.

    Once it is valid, ``plan`` is the layout.
    """

    use_required_attribute = False
    length_mm = Number(label=_("Sound length (mm)"), unit="mm")
    width_mm = Number(label=_("Sound width (mm)"), unit="mm")
    kerf_mm = Measure(label=_("A cut takes (mm)"), unit="mm", most=MOST_KERF_MM)
    edge_trim_mm = Measure(label=_("Off each edge (mm)"), unit="mm", most=MOST_TRIM_MM)
    end_trim_mm = Measure(label=_("Off each end (mm)"), unit="mm", most=MOST_TRIM_MM)
    fill = forms.ChoiceField(
        label=_("Fill the rest with"), required=False, widget=forms.Select
    )
    seen = forms.IntegerField(required=False, widget=forms.HiddenInput)
    SIZES = ("length_mm", "width_mm", "kerf_mm", "edge_trim_mm", "end_trim_mm")

    def __init__(self, *args: Any, page: PlankPage, **options: Any) -> None:
        super().__init__(*args, **options)
        self.page = page
        self.plan: Plan | None = None
        for need in page.needs:
            self.fields[_name(need)] = Count(
                label=gettext("Sets of {model}, {branch}").format(
                    model=need.model, branch=label(need.branch)
                ),
                most=MOST_SETS,
                required=False,
            )
        self.fields["fill"].choices = [  # type: ignore[attr-defined]
            ("", _("nothing")),
            *(
                (str(need.id), f"{need.model}, {label(need.branch)}")
                for need in page.needs
            ),
        ]
        self._begin_with_the_plank()

    def _begin_with_the_plank(self) -> None:
        """Offer the plank's own sizes; of one that was cut, nobody knows the rest."""
        size = self.page.plank.size
        if not self.page.sets:
            self.initial["length_mm"] = _plain(size.length_mm)
            self.initial["width_mm"] = _plain(size.width_mm)
        self.initial["kerf_mm"] = KERF_MM
        self.initial["edge_trim_mm"] = EDGE_TRIM_MM
        self.initial["end_trim_mm"] = END_TRIM_MM

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        size = self.page.plank.size
        for name, whole in (("length_mm", size.length_mm), ("width_mm", size.width_mm)):
            if given.get(name) is not None and given[name] > whole:
                said = gettext("The plank is only {size} mm.")
                self.add_error(name, said.format(size=_plain(whole)))
        if not self.errors:
            self._lay_out()
        return given

    def _lay_out(self) -> None:
        wishes = self._wishes()
        if not wishes:
            said = _("Say how many sets of at least one kind are wanted.")
            self.add_error(None, said)
            return
        saw = Saw(**{name: self.cleaned_data[name] for name in self.SIZES})
        try:
            self.plan = queries.cut_plan(page=self.page, saw=saw, wishes=wishes)
        except Refused as no:
            self.add_error(None, f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}")

    def _wishes(self) -> tuple[Wish, ...]:
        given = self.cleaned_data
        counted = [
            Wish(need, given[_name(need)])
            for need in self.page.needs
            if given[_name(need)]
        ]
        filling = [
            Wish(need, None)
            for need in self.page.needs
            if str(need.id) == given["fill"]
        ]
        return (*counted, *filling)

    @property
    def rows(self) -> list[tuple[Need, forms.BoundField]]:
        return [(need, self[_name(need)]) for need in self.page.needs]

    @property
    def sizes(self) -> list[forms.BoundField]:
        return [self[name] for name in self.SIZES]

    @property
    def typed(self) -> list[tuple[str, str]]:
        """Give what was typed, to be sent again."""
        return [
            (name, str(self[name].value() or ""))
            for name in self.fields
            if name != "seen"
        ]


def _name(need: Need) -> str:
    return f"n-{need.id}"


def _plain(number: Decimal) -> str:
    return f"{number.normalize():f}"
