"""How do templates say moments, spans, codes and refusals, and draw quickly?"""

from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import lru_cache

from django import template
from django.template.base import FilterExpression, NodeList, Parser, Token, token_kwargs
from django.template.context import Context
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import get_language

from travelers.formulas import codes, odds
from travelers.kit import words
from travelers.kit.pages import way
from travelers.kit.refusals import Refusal

register = template.Library()


@register.filter
def sentence(refusal: Refusal) -> str:
    return words.sentence_of(refusal)


@register.filter
def remedy(refusal: Refusal) -> str:
    return words.remedy_of(refusal)


@register.filter
def moment(at: datetime | None) -> str:
    return words.moment(at) if at else ""


@register.filter
def span(length: timedelta | None) -> str:
    return "" if length is None else words.span(length)


@register.simple_tag
def lasting(since: datetime, length: timedelta) -> SafeString:
    """Say how long something has lasted, in a way that lasting.js says on."""
    return format_html(
        '<time datetime="{}" data-shop-lasting="{}">{}</time>',
        since.isoformat(),
        round(length.total_seconds()),
        words.span(length),
    )


@register.simple_tag
def lasting_words() -> SafeString:
    """Give lasting.js its words, as attributes of what the lengths stand in."""
    return format_html_join(" ", 'data-shop-{}="{}"', words.span_words().items())


@register.filter
def of_100(pct: float) -> int:
    return odds.of_100(pct)


@register.filter
def grouped(code: str) -> str:
    return codes.grouped(code)


@register.filter
def label(word: str) -> str:
    return words.label(word)


register.simple_tag(way)


@register.simple_tag
@lru_cache(maxsize=256, typed=True)
def posts(url: str) -> SafeString:
    """Say where a form goes, with htmx and without."""
    return format_html('method="post" action="{0}" hx-post="{0}"', url)


class Fixed(template.Node):
    """A piece that is drawn once for each set of values, and then repeated.

    It sees the values that it names and nothing else, so it cannot show what another
    request said. What grows is bounded by forgetting all of it.
    """

    MOST = 1024

    def __init__(
        self, nodelist: NodeList, values: Mapping[str, FilterExpression]
    ) -> None:
        self.nodelist, self._values = nodelist, values
        self._drawn: dict[tuple[object, ...], SafeString] = {}

    def render(self, context: Context) -> SafeString:
        seen = {name: value.resolve(context) for name, value in self._values.items()}
        # Text that is safe and text that is not are equal, and are drawn differently.
        key = (get_language(), *seen.values(), *map(type, seen.values()))
        drawn = self._drawn.get(key)
        if drawn is None:
            if len(self._drawn) >= self.MOST:
                self._drawn.clear()
            drawn = self._drawn[key] = self.nodelist.render(context.new(seen))
        return drawn


@register.tag
def fixed(parser: Parser, token: Token) -> Fixed:
    """Draw ``{% fixed name=value … %}`` … ``{% endfixed %}`` once for its values."""
    tag, *given = token.split_contents()
    values = token_kwargs(given, parser)
    if given:
        raise template.TemplateSyntaxError(f"{tag} takes name=value alone: {given[0]}")
    nodelist = parser.parse(("endfixed",))
    parser.delete_first_token()
    return Fixed(nodelist, values)
