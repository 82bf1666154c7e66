"""How do templates say moments, spans, codes and refusals?"""

from datetime import datetime, timedelta

from django import template

from travelers.formulas import codes
from travelers.kit import words
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


@register.filter
def grouped(code: str) -> str:
    return codes.grouped(code)


@register.filter
def label(word: str) -> str:
    return words.label(word)
