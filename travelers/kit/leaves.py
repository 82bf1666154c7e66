"""Which leaf of a long list is shown?"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet


@dataclass(frozen=True, slots=True)
class Leaf:
    """Where in a long list its reader is; ``count`` is of the whole list."""

    number: int
    of: int
    count: int

    @property
    def previous(self) -> int | None:
        return self.number - 1 if self.number > 1 else None

    @property
    def next(self) -> int | None:
        return self.number + 1 if self.number < self.of else None


def cut_leaf(rows: QuerySet[Any], *, number: int, size: int) -> tuple[list[Any], Leaf]:
    """Read one leaf of ordered rows; a number beyond the last gives the last."""
    count = rows.count()
    of = max(1, -(-count // size))
    number = min(max(1, number), of)
    start = (number - 1) * size
    return list(rows[start : start + size]), Leaf(number, of, count)


def leaf_asked(query: Mapping[str, Any]) -> int:
    """Read ``?leaf=`` of an address; anything that is no number is the first."""
    asked = str(query.get("leaf", "1"))
    return int(asked) if asked.isdecimal() and len(asked) < 7 else 1
