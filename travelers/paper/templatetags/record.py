"""How does a build record say days, values and what was done again?"""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django import template
from django.utils import formats, timezone
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext, ngettext

from travelers.floor.queries import Measure, Used
from travelers.kit.words import label
from travelers.paper.documents import records
from travelers.paper.queries import Repeated
from travelers.paper.rules import Leg

register = template.Library()

# More values than these are said by their least and their most.
MOST_VALUES = 8
# So many operations of a rework are named.
MOST_MATERIALS, MOST_NUMBERS = 12, 6
MOST_NAMED = 3
OUTSIDE = "*"


@register.filter
def on_day(at: datetime | date | None) -> str:
    """Say the day of a moment where the shop is."""
    if isinstance(at, datetime):
        at = timezone.localdate(at)
    return formats.date_format(at, "j M Y") if at else ""


@register.filter
def days_taken(leg: Leg) -> str:
    """Say how many days a leg took, by the days that are printed."""
    return _days(leg.at - leg.took, leg.at)


@register.filter
def whole_way(way: Sequence[Leg]) -> str:
    return _days(way[0].at, way[-1].at)


@register.simple_tag
def leg_bar(leg: Leg) -> SafeString:
    told = f"{label(leg.mark)}: {days_taken(leg)}"
    # The drawing escapes every text that it is given.
    return mark_safe(records.bar(leg, told))  # noqa: S308


@register.filter
def values(measure: Measure) -> list[str]:
    """Say the values of a check; of very many the least and the most."""
    if len(measure.values) <= MOST_VALUES:
        return [
            f"{_number(measure, one.value)}{'' if one.is_inside else OUTSIDE}"
            for one in measure.values
        ]
    read = [one.value for one in measure.values]
    least, most = _number(measure, min(read)), _number(measure, max(read))
    said = gettext("{lower} to {upper}").format(lower=least, upper=most)
    return [f"{said}{'' if measure.is_inside else OUTSIDE}"]


@register.filter
def aimed_at(measure: Measure) -> str:
    aim = measure.check.nominal
    return "" if aim is None else _number(measure, aim)


@register.filter
def at_places(measure: Measure) -> str:
    """Say at how many places something was read: 6 strings have six."""
    check = measure.check
    if check.places == 1:
        return ""
    return f"{len(measure.values)}\u00a0×\u00a0{check.place_name or gettext('place')}"


@register.filter
def gauge_words(measure: Measure) -> str:
    return measure.check.gauge_kind.replace("_", " ")


@register.filter
def some_of(names: Sequence[str], most: int = MOST_NAMED) -> str:
    """Name a few operations; say how many more there are."""
    said = ", ".join(names[:most])
    more = len(names) - most
    if more <= 0:
        return said
    rest = ngettext("and {n} more", "and {n} more", more).format(n=more)
    return f"{said}, {rest}"


@register.filter
def made_with(materials: Sequence[Used]) -> str:
    """Name materials with the batches and serial numbers of each that were used."""
    said = [f"{one.material} {some_of(one.numbers, MOST_NUMBERS)}" for one in materials]
    more = len(said) - MOST_MATERIALS
    if more > 0:
        rest = ngettext("and {n} more", "and {n} more", more).format(n=more)
        said = [*said[:MOST_MATERIALS], rest]
    return "; ".join(said)


@register.filter
def with_times(repeated: Sequence[Repeated]) -> str:
    return ", ".join(f"{one.name} {one.times}\u00a0×" for one in repeated)


def _days(since: datetime, until: datetime) -> str:
    n = (timezone.localdate(until) - timezone.localdate(since)).days
    if n == 0:
        return gettext("same day")
    return ngettext("{n} day", "{n} days", n).format(n=n)


def _number(measure: Measure, value: Decimal) -> str:
    return formats.number_format(value, measure.check.decimals)
