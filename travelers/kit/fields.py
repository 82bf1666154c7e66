"""How are the trade's closed lists and measured numbers stored?"""

from enum import StrEnum
from typing import Any

from django.db import models


def choice(enum: type[StrEnum], **options: Any) -> models.CharField:
    """Make a column for one of a closed list, as wide as its longest word."""
    return models.CharField(
        max_length=max(len(member) for member in enum),
        choices=[(member.value, member.value) for member in enum],
        **options,
    )


def one_of(enum: type[StrEnum], field: str) -> models.Q:
    """Say for a check constraint that ``field`` holds one of the list."""
    return models.Q(**{f"{field}__in": [member.value for member in enum]})


def millimetres(**options: Any) -> models.DecimalField:
    return models.DecimalField(max_digits=8, decimal_places=2, **options)


def written(member: StrEnum) -> models.Func:
    """Say one of a closed list in the text of a query, not as a bound value.

    SQLite uses a partial index only where the query's text implies the condition
    of the index, and a bound value has no text.
    """
    return models.Func(template=f"'{member}'", output_field=models.CharField())
