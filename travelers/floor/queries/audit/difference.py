"""Where do a row and the ledger not say the same?"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

NOTHING = "no row"


@dataclass(frozen=True, slots=True)
class Difference:
    """Where a row and the ledger do not say the same; ``seq`` is the last event."""

    where: str
    what: str
    field: str
    row: str
    ledger: str
    seq: int | None = None

    def __str__(self) -> str:
        event = f" (event {self.seq})" if self.seq else ""
        return (
            f"{self.where}, {self.what}, {self.field}: "
            f"row {self.row}, ledger {self.ledger}{event}"
        )


def differ(
    where: str, what: str, row: Any, ledger: Any, fields: Iterable[str], seq: int | None
) -> Iterator[Difference]:
    for field in fields:
        has, ought = getattr(row, field), getattr(ledger, field)
        if has != ought:
            yield Difference(where, what, field, said(has), said(ought), seq)


def said(value: Any) -> str:
    if isinstance(value, datetime):
        return value.isoformat()
    return "nothing" if value in (None, "") else str(value)


def differ_by_key(
    where: str, what: str, have: Mapping[Any, Any], ought: Mapping[Any, Any]
) -> Iterator[Difference]:
    for key in sorted(have.keys() | ought.keys()):
        seq = key[0] if isinstance(key, tuple) else key
        row, ledger = have.get(key), ought.get(key)
        if row is None or ledger is None:
            there, told = ("a row", "nothing") if row else (NOTHING, "an event")
            yield Difference(where, what, "event", there, told, seq)
            continue
        for field, value in ledger.items():
            if row[field] != value:
                has = said(row[field])
                yield Difference(where, what, field, has, said(value), seq)
