"""How do the floor's templates say a place in the line, and number a press?"""

from collections.abc import Iterable
from datetime import date
from uuid import uuid4

from django import template
from django.template.context import Context
from django.utils import formats, timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from travelers.floor.queries import LastPress
from travelers.floor.queries.stations import Row
from travelers.floor.rules.machine import CARD_OF, Wish
from travelers.floor.rules.queue import Why
from travelers.formulas.cards import REASONS, Command
from travelers.kit import words
from travelers.kit.refusals import gettext_noop

register = template.Library()

YEAR_IS_CLEAR = 270

SAID = {
    Why.CLOSING: gettext_noop("has to begin by {until}"),
    Why.PINNED: gettext_noop("put first: {pin}"),
    Why.LATE: gettext_noop("late: wanted {wanted}"),
    Why.DUE: gettext_noop("done here by {wanted}"),
    Why.MATES_WAIT: gettext_noop("its mates wait for it"),
    Why.WAITED: gettext_noop("same day, came later"),
    Why.MATES_COME: gettext_noop("its mates come {wanted}"),
    Why.LOAD: gettext_noop("fills the load with {beside}"),
    Why.RESTS: gettext_noop("rests until {until}"),
    Why.RAN_OUT: gettext_noop("had to begin by {until}: the lead decides"),
    Why.HELD: gettext_noop("held: leave it"),
}

VERBS = {
    Wish.START: gettext_noop("Start"),
    Wish.FINISH: gettext_noop("Done"),
    Wish.LOAD: gettext_noop("Load"),
    Wish.TAKE_OUT: gettext_noop("Take out"),
}

PRESS_FIELDS = "".join(
    f'<input type="hidden" name="{name}" value="{{}}">'
    for name in ("csrfmiddlewaretoken", "event_id", "wish", "code", "step")
)


@register.filter
def reason(row: Row) -> str:
    """Say why a part has its place in the line."""
    if row.why is None:
        return ""
    return gettext(SAID[row.why]).format(
        until=until(row),
        pin=row.pin,
        wanted=_day(row.wanted_on or row.due_on, row.today),
        beside=row.beside,
    )


@register.filter
def wanted(row: Row) -> str:
    """Say when it is due, where its place says already when it is wanted here."""
    day = _day(row.wanted_on or row.due_on, row.today)
    if row.why in (Why.DUE, Why.LATE, Why.MATES_COME):
        return gettext("due {due}").format(due=_day(row.due_on, row.today))
    return gettext("done here by {wanted}").format(wanted=day)


@register.filter
def until(row: Row) -> str:
    """Say a row's moment as short as it stays clear: the clock alone for today."""
    if row.until is None:
        return ""
    clock = formats.date_format(timezone.localtime(row.until), "H:i")
    day = timezone.localdate(row.until)
    return clock if day == row.today else f"{_day(day, row.today)}, {clock}"


def _day(day: date, today: date) -> str:
    """Leave out the year where nobody would think of another."""
    near = abs((day - today).days) < YEAR_IS_CLEAR
    return formats.date_format(day, "j M" if near else "j M Y")


@register.filter
def verb(wish: str) -> str:
    """Say on the button what pressing it does."""
    return gettext(VERBS[Wish(wish)])


@register.filter
def card(wish: str) -> str:
    """Name the command card that presses the button of a wish."""
    return CARD_OF[Wish(wish)]


@register.filter
def takes_back(press: LastPress) -> str:
    """Say what one more touch takes back."""
    return gettext("takes back: {kind} – {operation}, {serial}").format(
        kind=words.label(press.kind), operation=press.operation, serial=press.serial
    )


@register.filter
def who(roles: Iterable[str]) -> str:
    """Name the roles that can let a gate pass."""
    return gettext(" or ").join(words.label(role) for role in roles)


@register.simple_tag
def hold_reasons() -> tuple[Command, ...]:
    """Give the common reasons for a hold, for a page that has no part at hand."""
    return REASONS


@register.simple_tag
def decimal_key() -> str:
    """Give the decimal mark that the reader's language writes."""
    return str(formats.get_format("DECIMAL_SEPARATOR"))


@register.simple_tag
def new_id() -> str:
    """Make the id of one deed of many, before the press that does them all."""
    return str(uuid4())


@register.simple_tag
def event_id() -> SafeString:
    """Number a press before it is pressed, so that a repeat is known as such."""
    return format_html('<input type="hidden" name="event_id" value="{}">', uuid4())


@register.simple_tag(takes_context=True)
def press_fields(
    context: Context, wish: str, code: str, step_id: int | None
) -> SafeString:
    """Write what every press of a button says: from whose page, its number, of what."""
    return format_html(
        PRESS_FIELDS, context["csrf_token"], uuid4(), wish, code, step_id
    )
