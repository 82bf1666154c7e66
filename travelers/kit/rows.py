"""How are the rows of a scan written, and asked for, at the least cost?"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol, cast
from uuid import UUID

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
    fields, sql = _update(model, tuple(columns), connection.vendor)
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
        # For one line a driver need not prepare for many.
        if len(lines) == 1:
            cursor.execute(sql, lines[0])
        else:
            cursor.executemany(sql, lines)


@cache
def _update(
    model: type[models.Model], columns: tuple[str, ...], vendor: str
) -> tuple["list[models.Field[Any, Any]]", str]:
    fields = [
        cast("models.Field[Any, Any]", model._meta.get_field(name.removesuffix("_id")))
        for name in columns
    ]
    quote = connection.ops.quote_name
    sets = ", ".join(f"{quote(str(field.column))} = %s" for field in fields)
    table = quote(model._meta.db_table)
    return fields, f"UPDATE {table} SET {sets} WHERE id = %s"  # noqa: S608 - names from the model


def add_row(row: models.Model) -> None:
    """Insert a new row with all its columns and take its number back.

    As ``save(force_insert=True)`` does, without what a row of no parents and no
    signals needs not.
    """
    if not connection.features.can_return_columns_from_insert:
        row.save(force_insert=True)
        return
    key, columns, sql = _insertion(type(row), connection.vendor)
    values = [
        value if prepare is None or value is None else prepare(value, connection)
        for value, prepare in (
            (getattr(row, name), prepare) for name, prepare in columns
        )
    ]
    with connection.cursor() as cursor:
        cursor.execute(sql, values)
        setattr(row, key, cursor.fetchone()[0])
    row._state.adding = False
    row._state.db = connection.alias


# A value of these goes to the database as it is.
AS_IT_IS = (
    models.BooleanField,
    models.CharField,
    models.ForeignKey,
    models.IntegerField,
    models.TextField,
)
Prepare = Callable[[Any, Any], Any]


@cache
def _insertion(
    model: type[models.Model], vendor: str
) -> tuple[str, list[tuple[str, Prepare | None]], str]:
    key = model._meta.pk
    fields = [field for field in model._meta.concrete_fields if field is not key]
    quote = connection.ops.quote_name
    names = ", ".join(quote(str(field.column)) for field in fields)
    places = ", ".join(["%s"] * len(fields))
    table, number = quote(model._meta.db_table), quote(str(key.column))
    columns: list[tuple[str, Prepare | None]] = [
        (
            str(field.attname),
            None if isinstance(field, AS_IT_IS) else field.get_db_prep_save,
        )
        for field in fields
    ]
    sql = f"INSERT INTO {table} ({names}) VALUES ({places}) RETURNING {number}"  # noqa: S608 - names from the model
    return str(key.attname), columns, sql


# What no row has marks the places where what is asked for goes.
MARK = 2**62 + 1_234_567
MARK_TEXT = "\N{REPLACEMENT CHARACTER}"
MARK_UUID = UUID(int=2**127 - 1_234_567)
Asked = int | str | UUID


class OftenAsked:
    """Rows of values, asked for so often that their SQL is made once.

    Django writes the SQL of a query anew each time.  For the questions that every
    scan asks, that costs several times what the database needs to answer them.
    ``ask`` takes what is asked for, by default one number; ``marks`` says of what
    kind each is.
    """

    def __init__(
        self, ask: Callable[..., models.QuerySet[Any, Any]], *marks: Asked
    ) -> None:
        self._ask = ask
        self._marks = marks or (MARK,)
        self._made: dict[str, _Made] = {}

    def __call__(self, *asked: Asked) -> list[tuple[Any, ...]]:
        made = self._made.get(connection.vendor)
        if made is None:
            made = self._made[connection.vendor] = self._make()
        values = list(made.given)
        for place, which, as_text in made.slots:
            one = asked[which]
            values[place] = one.hex if as_text and isinstance(one, UUID) else one
        with connection.cursor() as cursor:
            cursor.execute(made.sql, values)
            rows: list[tuple[Any, ...]] = cursor.fetchall()
        if made.converters:
            converted = made.compiler.apply_converters(rows, made.converters)
            rows = list(map(tuple, converted))
        return rows

    def _make(self) -> "_Made":
        compiler = self._ask(*self._marks).query.get_compiler(connection=connection)
        sql, given = compiler.as_sql()
        columns = [expression for expression, _, _ in compiler.select]
        # A database without a type for them holds UUIDs as text.
        slots = [
            (place, which, one == getattr(mark, "hex", None))
            for place, one in enumerate(given)
            for which, mark in enumerate(self._marks)
            if one in (mark, getattr(mark, "hex", mark))
        ]
        return _Made(sql, given, slots, compiler, compiler.get_converters(columns))


@dataclass(frozen=True, slots=True)
class _Made:
    sql: str
    given: tuple[Any, ...]
    slots: list[tuple[int, int, bool]]
    compiler: Any
    converters: Any
