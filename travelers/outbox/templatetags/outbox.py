"""How do the outbox's templates name their build?"""

from django import template

from travelers.outbox.queries.build import build

register = template.Library()


@register.simple_tag
def build_now() -> str:
    """Name the build that this page is of."""
    return build()
