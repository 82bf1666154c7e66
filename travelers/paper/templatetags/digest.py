"""How do the digest's tables draw what they say?"""

from datetime import date

from django import template
from django.utils import formats
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from travelers.kit.drawing import bars
from travelers.paper.queries import LateRow

register = template.Library()


@register.simple_tag
def bar_of(value: float, most: float, mark: float | None = None) -> SafeString:
    """Draw a value beside the greatest of its table."""
    most = max(most, mark or 0.0, 1e-9)
    share = None if mark is None else mark / most
    title = gettext("{value} of {most}").format(
        value=f"{value:.0f}", most=f"{most:.0f}"
    )
    return _safe(bars.bar(value / most, title=title, mark=share))


@register.simple_tag
def lateness(row: LateRow) -> SafeString:
    """Draw when an order is finished, beside the day on which it is due."""
    said = gettext("due {due}; finished between {first} and {last}")
    first, _, last = row.promise.by
    title = said.format(
        due=_day(row.promise.due_on), first=_day(first), last=_day(last)
    )
    return _safe(bars.span(row.first, row.likely, row.last, mark=row.due, title=title))


def _day(day: date) -> str:
    return formats.date_format(day, "j M Y")


def _safe(drawn: str) -> SafeString:
    """Let a drawing through as markup; it writes the words in it safely itself."""
    return mark_safe(drawn)  # noqa: S308
