"""How are a few rows written back in one statement?"""

from collections.abc import Sequence
from typing import Any, Protocol

from django.db import connection, models


class Numbered(Protocol):
    @property
    def id(self) -> int: ...


def write_rows(
    model: type[models.Model], rows: Sequence[Numbered], columns: Sequence[str]
) -> None:
    """Write the named columns of each row back to the row with its id.

    ``bulk_update`` builds a CASE for every column and value, which costs more
    time than all else that a scan does; this is one plain UPDATE sent once with
    a line of values a row.
    """
    if not rows:
        return
    fields = [model._meta.get_field(name.removesuffix("_id")) for name in columns]
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(field.column)} = %s" for field in fields)
    sql = f"UPDATE {quote(model._meta.db_table)} SET {sets} WHERE id = %s"  # noqa: S608 - names from the model
    lines: list[list[Any]] = [
        [
            *(
                field.get_db_prep_save(getattr(row, name), connection)
                for field, name in zip(fields, columns, strict=True)
            ),
            row.id,
        ]
        for row in rows
    ]
    with connection.cursor() as cursor:
        cursor.executemany(sql, lines)
