"""What do the tests forbid that Django lets pass?"""

import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NoReturn

from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations
from django.template import VariableDoesNotExist, engines
from django.template.base import Variable

OURS = Path(__file__).resolve().parent.parent / "travelers"


class UndefinedNameError(AssertionError):
    """A template names something that it was not given."""


@contextmanager
def no_queries() -> Iterator[None]:
    """Fail when the block inside asks the database."""

    def refuse(_execute: object, sql: str, *_rest: object) -> NoReturn:
        raise AssertionError(f"A template asks the database: {sql}")

    with connection.execute_wrapper(refuse):
        yield


@contextmanager
def undefined_names_fail() -> Iterator[None]:
    """Make our templates fail where Django would show nothing.

    1. A name that is shown and does not exist, in a template of ours; templates of
       others (the admin's) go on as they were written.
    2. A name asked of one of our own objects (a page, a row of it), shown or in an
       ``{% if %}``: those have fixed fields, so that it can only be a slip.
    """
    for engine in engines.all():
        engine.engine.string_if_invalid = _Nothing()  # type: ignore[attr-defined]
    lenient = Variable._resolve_lookup  # type: ignore[attr-defined]

    def strict(self: Variable, context: Any) -> Any:
        try:
            return lenient(self, context)
        except VariableDoesNotExist as fault:
            name, thing = fault.params
            if _has_fixed_fields(thing) and not str(name).isdigit():
                raise UndefinedNameError(
                    f"{type(thing).__name__} has no {name!r}, which a template "
                    f"asks for as {self.var!r}."
                ) from fault
            raise

    Variable._resolve_lookup = strict  # type: ignore[attr-defined]
    try:
        yield
    finally:
        Variable._resolve_lookup = lenient  # type: ignore[attr-defined]
        for engine in engines.all():
            engine.engine.string_if_invalid = ""  # type: ignore[attr-defined]


def _has_fixed_fields(thing: object) -> bool:
    return type(thing).__module__.startswith("travelers.") and not isinstance(
        thing, Mapping
    )


class _Nothing(str):
    """The empty text that Django puts in for a missing name, with a sting.

    Django asks it for its truth before showing a variable, and for ``%s`` before
    filling a translated block; who asks is seen from the caller's frame.
    """

    __slots__ = ()

    def __bool__(self) -> bool:
        return self._sting(sys._getframe(1).f_locals)

    def __contains__(self, part: object) -> bool:
        return self._sting(sys._getframe(1).f_locals)

    def _sting(self, asking: Mapping[str, Any]) -> bool:
        context = asking.get("context")
        if context is None or not hasattr(context, "render_context"):
            return False
        template = context.render_context.template or context.template
        origin = Path(str(getattr(template.origin, "name", "")))
        if origin.is_relative_to(OURS):
            name = asking.get("key") or asking.get("self")
            raise UndefinedNameError(f"{origin.name} shows {name}, which is not there.")
        return False


@contextmanager
def triggers_lifted_while_flushing() -> Iterator[None]:
    """Let the emptying of tables between tests pass the append-only triggers.

    Only tests with real commits empty tables, and only Django's flush is let
    through; the same DELETE from a test is refused as in the shop.
    """
    guarded = BaseDatabaseOperations.execute_sql_flush

    def flush(self: BaseDatabaseOperations, sql_list: Iterable[str]) -> None:
        lift, restore = _lift(self.connection), _restore(self.connection)
        guarded(self, [*lift, *map(_row_by_row, sql_list), *restore])

    BaseDatabaseOperations.execute_sql_flush = flush  # type: ignore[method-assign]
    try:
        yield
    finally:
        BaseDatabaseOperations.execute_sql_flush = guarded  # type: ignore[method-assign]


def _row_by_row(sql: str) -> str:
    """Delete what is to be truncated: of few rows that is the lesser work by far."""
    told = re.fullmatch(r"TRUNCATE ([^;]*\"\w+\");", sql)
    if not told:
        return sql
    return " ".join(f"DELETE FROM {table};" for table in told[1].split(", "))


@contextmanager
def triggers_lifted() -> Iterator[None]:
    """Let a test damage what the triggers guard, as somebody with the keys could."""
    restore = _restore(connection)
    _run(_lift(connection))
    try:
        yield
    finally:
        _run(restore)


def _run(statements: Iterable[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


def _lift(database: Any) -> list[str]:
    if database.vendor == "postgresql":
        return ["SET LOCAL session_replication_role = replica"]
    return [f'DROP TRIGGER "{name}"' for name, _ in _sqlite_triggers(database)]


def _restore(database: Any) -> list[str]:
    if database.vendor == "postgresql":
        return ["SET LOCAL session_replication_role = origin"]
    return [sql for _, sql in _sqlite_triggers(database)]


def _sqlite_triggers(database: Any) -> list[tuple[str, str]]:
    with database.cursor() as cursor:
        cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
        found: list[tuple[str, str]] = cursor.fetchall()
    return found
