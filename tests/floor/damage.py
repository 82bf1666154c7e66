"""How can rows be damaged, past the triggers, by somebody with the keys?"""

import random
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import IntegrityError, connection, models, transaction

from tests import strict
from travelers.floor.models import Event, Hold, MaterialUse, Reading
from travelers.floor.queries import audit
from travelers.orders.models import Instrument, Part, Step

# Columns that follow from the ledger or must not differ from the released route.
COLUMNS: dict[type[models.Model], tuple[str, ...]] = {
    Step: (
        "instrument", "part", "operation", "repeat", "turn", "stage", "station",
        "state", "ready_at", "started_at", "dwell_until", "finished_at", "at_station",
    ),
    Part: (
        "held_at", "stage", "look", "since", "scrapped_at", "wants_wood", "instead_of",
    ),
    Instrument: ("state", "closed_at", "held_at"),
    Event: tuple(
        field.name
        for field in Event._meta.concrete_fields
        # The number is tried by swapping two; of an accepted one, another column
        # would have to change too.
        if field.name not in ("seq", "accepted")
    ),
    Reading: (
        "event", "characteristic", "place", "value", "unit", "verdict", "gauge",
        "in_calibration",
    ),
    Hold: ("event", "instrument", "part", "reason", "lifted"),
    MaterialUse: ("event", "need", "batch", "serial"),
}  # fmt: skip
WORDS = {"verdict": ("INSIDE", "LOW", "HIGH")}


class Barred(AssertionError):
    """The constraints of a table let no row be damaged that way."""


def found() -> list[audit.Difference]:
    differences = [
        difference
        for pk in audit.instrument_ids()
        for difference in audit.check_instrument(instrument_id=pk).differences
    ]
    return [*differences, *audit.check_unknown_codes()]


def update(row: models.Model, column: str, value: Any) -> None:
    """Write one column by plain SQL, past the triggers; keys are checked at the end."""
    table, key = row._meta.db_table, key_of(row)
    with (
        strict.triggers_lifted(),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(
            f'UPDATE {table} SET "{column}" = %s WHERE "{key}" = %s',
            [value, row.pk],
        )


def delete(row: models.Model) -> None:
    table, key = row._meta.db_table, key_of(row)
    with strict.triggers_lifted(), connection.cursor() as cursor:
        cursor.execute(f'DELETE FROM {table} WHERE "{key}" = %s', [row.pk])


def key_of(row: models.Model) -> str:
    key = row._meta.pk
    assert key is not None
    return str(key.column)


def other_value(field: Any, row: models.Model, chance: random.Random) -> Any:
    """Make a value that the column does not have but could have."""
    now = getattr(row, field.attname)
    if isinstance(field, models.ForeignKey):
        keys = field.related_model._default_manager.exclude(pk=now).order_by("pk")
        key: int = chance.choice(list(keys.values_list("pk", flat=True)))
        return key
    if isinstance(field, models.DateTimeField):
        return now + timedelta(microseconds=1) if now else a_moment()
    words = [word for word, _ in field.choices or ()] or WORDS.get(field.name, ())
    if words:
        return chance.choice([word for word in words if word != now])
    return {
        models.BooleanField: lambda: not now,
        models.UUIDField: lambda: UUID(int=chance.getrandbits(128)),
        models.DecimalField: lambda: now + 1,
        models.PositiveSmallIntegerField: lambda: now + 50,
        models.PositiveBigIntegerField: lambda: (now or 0) + 50,
        models.JSONField: lambda: {**now, "reason": "another"},
        models.CharField: lambda: chance.choice(["another", now[1:]])[:40],
    }[type(field)]()


def a_moment() -> Any:
    return Instrument.objects.order_by("pk")[0].released_at


def damage(seed: int, model: type[models.Model], name: str) -> tuple[Any, str]:
    """Change one column of a row drawn by chance; give the row and what was done."""
    chance = random.Random(seed)
    field = model._meta.get_field(name)
    assert isinstance(field, models.Field)
    rows = list(model._default_manager.order_by("pk"))
    chance.shuffle(rows)
    for row in rows:
        value = other_value(field, row, chance)
        if value == getattr(row, field.attname):
            continue
        prepared = field.get_db_prep_save(value, connection)
        try:
            with transaction.atomic():
                update(row, field.column, prepared)
        except IntegrityError:
            # A constraint of the table stops it already; try another row.
            continue
        return row, f"{field.column}: {getattr(row, field.attname)} -> {value}"
    raise Barred(f"no {model.__name__} lets its {name} be changed to {value} alone")


def serial_of(row: Any) -> str:
    if isinstance(row, Instrument):
        return row.serial
    told = isinstance(row, Reading | MaterialUse)
    owner = row.event.instrument if told else row.instrument
    return owner.serial if owner else "unknown code"
