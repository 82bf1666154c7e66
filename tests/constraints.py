"""How does a test try to break what a table holds?"""

from collections.abc import Callable
from typing import Any

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

# A row that stands, and the columns that would make it break one constraint.
Broken = tuple[models.Model, dict[str, Any]]


def names_of(app: str) -> set[str]:
    """List the constraints that an app's tables name."""
    return {
        constraint.name
        for model in apps.get_app_config(app).get_models()
        for constraint in model._meta.constraints
    }


def refuses(name: str, write: Callable[[], object]) -> None:
    """Write, and see that this constraint and no other stops it."""
    with pytest.raises(IntegrityError) as stopped, transaction.atomic():
        write()
    said = str(stopped.value)
    if name in said:
        return
    # SQLite names the columns of a unique constraint, not the constraint.
    assert connection.vendor == "sqlite", said
    assert said.startswith("UNIQUE constraint failed"), said
    columns = _columns(name)
    assert columns, f"{name} is no unique constraint, but: {said}"
    assert all(column in said for column in columns), (columns, said)


def _columns(name: str) -> list[str]:
    for model in apps.get_models():
        for constraint in model._meta.constraints:
            if constraint.name == name and isinstance(
                constraint, models.UniqueConstraint
            ):
                table = model._meta.db_table
                fields = [model._meta.get_field(f) for f in constraint.fields]
                return [f"{table}.{field.column}" for field in fields]  # type: ignore[union-attr]
    return []


def change(row: models.Model, **columns: Any) -> Callable[[], object]:
    """Change columns of a row that stands, past all rules."""
    return lambda: type(row)._default_manager.filter(pk=row.pk).update(**columns)


def copy(row: models.Model, **columns: Any) -> Callable[[], object]:
    """Write a second row that is like one that stands but for some columns."""

    def write() -> object:
        fields = {
            field.attname: getattr(row, field.attname)
            for field in row._meta.concrete_fields
            if not field.primary_key
        }
        return type(row)._default_manager.create(**(fields | columns))

    return write
