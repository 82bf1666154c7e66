"""How do templates ask for a drawing, in the reader's language?"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, TypeVar

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from travelers.kit.drawing import (
    answers,
    control,
    fingerboard,
    limits,
    marks,
    outlines,
    promises,
    signs,
    symbols,
)
from travelers.kit.drawing import strip as strips
from travelers.kit.drawing.marks import Look

register = template.Library()
Words = TypeVar("Words", bound=Any)
Place = tuple[float, float, int | str]
GENERAL = {"W": "W001", "M": "M001", "P": "P001"}


@register.simple_tag
def board(
    cells: Iterable[fingerboard.Cell],
    frets: Sequence[fingerboard.Fret],
    strings: Sequence[fingerboard.Strand],
) -> SafeString:
    words = _translated(fingerboard.BoardWords())
    return _safe(fingerboard.board(cells, frets, strings, words_=words))


@register.simple_tag
def strip(
    dots: Sequence[strips.Dot],
    strings: Sequence[fingerboard.Strand],
    wide: float = strips.WIDE,
) -> SafeString:
    """Draw one instrument's strip; paper asks for a smaller ``wide``."""
    words = _translated(strips.StripWords())
    return _safe(strips.strip(dots, strings, words_=words, wide=wide))


@register.simple_tag
def spark(
    dots: Sequence[strips.Dot], strings: Sequence[fingerboard.Strand]
) -> SafeString:
    words = _translated(strips.StripWords())
    return _safe(strips.spark(dots, strings, words_=words))


@register.simple_tag
def qr(text: str, title: str) -> SafeString:
    """Draw a text's QR symbol, to be scanned off a screen."""
    return _safe(symbols.symbol(text, title=title))


@register.simple_tag
def mark(look: str, size: float = 16) -> SafeString:
    """Draw a state's mark alone; its word must stand beside it."""
    return _safe(marks.mark(Look(look), size=size))


@register.simple_tag
def state(look: str) -> SafeString:
    """Say a state as shape, word and underline."""
    seen = Look(look)
    return format_html(
        '<span class="state state-{}">{}<span>{}</span></span>',
        marks.slug(seen),
        mark(seen, 18),
        gettext(fingerboard.LOOK_WORDS[seen]),
    )


@register.simple_tag
def sign(code: str, size: float = 48) -> SafeString:
    """Draw a safety sign; one that has no drawing here is told by its family's
    general sign and its own code, since a route may name any code."""
    drawn = code if code in signs.SIGNS else GENERAL.get(code[:1], "W001")
    return _safe(signs.sign(drawn, size=size, label=referent(code)))


@register.filter
def referent(code: str) -> str:
    """Say what a sign refers to, without its drawing."""
    return gettext(signs.referent(code)) if code in signs.SIGNS else code


@register.simple_tag
def outline(part: str, shape: str, places: Iterable[Place] = ()) -> SafeString:
    return _safe(outlines.outline(part.lower(), shape.lower(), places))


@register.simple_tag
def limit_bar(
    value: float | None = None,
    lower: float | None = None,
    nominal: float | None = None,
    upper: float | None = None,
    unit: str = "",
    digits: int = 2,
) -> SafeString:
    words = _translated(limits.LimitWords())
    drawn = limits.limit_bar(
        value, lower, nominal, upper, unit=unit, digits=digits, words_=words
    )
    return _safe(drawn)


@register.simple_tag
def promise_plot(points: Sequence[promises.Promise]) -> SafeString:
    words = _translated(promises.PromiseWords())
    return _safe(promises.promises(points, words_=words))


@register.simple_tag
def control_chart(
    points: Sequence[control.Point], limits_: control.Limits
) -> SafeString:
    words = _translated(control.ControlWords())
    return _safe(control.control(points, limits_, words_=words))


@register.simple_tag
def answer_shape(answer: str, size: float = 64) -> SafeString:
    return _safe(answers.answer_shape(answer, size=size))


def _translated(words: Words) -> Words:
    """Put every text of a frozen set of words into the reader's language."""
    said: dict[str, object] = {}
    for field in fields(words):
        text = getattr(words, field.name)
        if isinstance(text, str):
            said[field.name] = gettext(text)
        elif isinstance(text, Mapping):
            said[field.name] = {key: gettext(word) for key, word in text.items()}
    return replace(words, **said)


def _safe(drawn: str) -> SafeString:
    # The drawing package escapes every text and attribute it is given.
    return mark_safe(drawn)  # noqa: S308
