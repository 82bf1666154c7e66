"""How are rows written back in one statement, and asked for again and again?"""

from collections.abc import Callable, Sequence
from typing import Any, Protocol, cast

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
    fields = [
        cast("models.Field[Any, Any]", model._meta.get_field(name.removesuffix("_id")))
        for name in columns
    ]
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(str(field.column))} = %s" for field in fields)
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


# What no row has marks the places where the number or text that is asked for goes.
MARK = 2**62 + 1_234_567
MARK_TEXT = "\N{REPLACEMENT CHARACTER}"


class OftenAsked:
    """Rows of values by one number or text, asked for so often that SQL is made once.

    Django writes the SQL of a query anew each time.  For the questions that every
    scan asks, that costs several times what the database needs to answer them.
    """

    def __init__(
        self,
        ask: Callable[[Any], models.QuerySet[Any, Any]],
        *,
        mark: int | str = MARK,
    ) -> None:
        self._ask = ask
        self._mark = mark
        self._made: dict[str, tuple[str, tuple[Any, ...], Any, Any]] = {}

    def __call__(self, asked: int | str) -> list[tuple[Any, ...]]:
        if connection.vendor not in self._made:
            self._made[connection.vendor] = self._make()
        sql, given, compiler, converters = self._made[connection.vendor]
        with connection.cursor() as cursor:
            cursor.execute(sql, [asked if one == self._mark else one for one in given])
            rows: list[tuple[Any, ...]] = cursor.fetchall()
        if converters:
            rows = list(map(tuple, compiler.apply_converters(rows, converters)))
        return rows

    def _make(self) -> tuple[str, tuple[Any, ...], Any, Any]:
        compiler = self._ask(self._mark).query.get_compiler(connection=connection)
        sql, given = compiler.as_sql()
        columns = [expression for expression, _, _ in compiler.select]
        return sql, given, compiler, compiler.get_converters(columns)
