"""Does the ledger refuse every change, by the objects and by plain SQL?"""

import pytest
from django.db import IntegrityError, connection, transaction

from tests import make
from tests.floor.story import at
from tests.standing import kept
from travelers.floor.models import Event, MaterialUse, Reading
from travelers.floor.rules import Wish
from travelers.orders.models import Part

pytestmark = [pytest.mark.django_db, pytest.mark.each]

TABLES = {
    "floor_event": Event,
    "floor_reading": Reading,
    "floor_materialuse": MaterialUse,
}
ANY_VALUE = {
    "floor_event": ("code", "'X'"),
    "floor_reading": ("value", "56.1"),
    "floor_materialuse": ("need_id", "1"),
}


@pytest.fixture
def shop(standing_with_uses: make.Shop) -> make.Shop:
    return standing_with_uses


@kept
def body(shop: make.Shop) -> Part:
    """Write a few events, one of them with a reading, one with a batch that it used."""
    body = shop.part(shop.instrument())
    machine = at(shop, body, "Machine")
    shop.must(Wish.START, machine)
    shop.must(Wish.READ, machine, readings=[shop.reading(machine, "56.10", "caliper")])
    return body


@pytest.fixture(autouse=True)
def _ledger(body: Part) -> None:
    """Let each test find them."""


def whole() -> list[object]:
    return [list(model.objects.order_by("pk").values()) for model in TABLES.values()]


def refused(sql: str) -> None:
    """Try a statement; it must fail as a breach of integrity and change nothing."""
    before = whole()
    with (
        pytest.raises(IntegrityError, match="ledger only grows"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(sql)
    assert whole() == before


@pytest.mark.parametrize("table", TABLES)
def test_plain_sql_changes_no_row(table: str) -> None:
    column, value = ANY_VALUE[table]
    refused(f"UPDATE {table} SET {column} = {value}")


@pytest.mark.parametrize("table", TABLES)
def test_plain_sql_takes_no_row_out(table: str) -> None:
    refused(f"DELETE FROM {table}")


@pytest.mark.parametrize(
    "field", [field.column for field in Event._meta.concrete_fields]
)
def test_no_column_of_an_event_can_be_written_again(field: str) -> None:
    """Not even with the value that it has."""
    refused(f"UPDATE floor_event SET {field} = {field} WHERE refusal = ''")


@pytest.mark.parametrize("table", TABLES)
def test_no_row_is_replaced_by_another(table: str) -> None:
    """REPLACE and ON CONFLICT are ways to change a row without saying so."""
    model = TABLES[table]
    key = model._meta.pk
    assert key is not None
    columns = [f'"{field.column}"' for field in model._meta.concrete_fields]
    column, value = ANY_VALUE[table]
    changed = [value if name == f'"{column}"' else name for name in columns]
    rows = f"SELECT {', '.join(changed)} FROM {table} WHERE 1 = 1"
    into = f"INTO {table} ({', '.join(columns)}) {rows}"
    refused(
        f"INSERT {into} ON CONFLICT ({key.column}) DO UPDATE SET {column} = {value}"
    )
    if connection.vendor == "sqlite":
        refused(f"INSERT OR REPLACE {into}")
        refused(f"REPLACE {into}")


def test_no_event_takes_the_place_of_another_with_its_id() -> None:
    """A fresh number with a known event id would push the old row out on SQLite."""
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has OR REPLACE")
    names = [
        f'"{field.column}"'
        for field in Event._meta.concrete_fields
        if not field.primary_key
    ]
    columns = ", ".join(names)
    refused(
        f"INSERT OR REPLACE INTO floor_event ({columns}) "
        f"SELECT {columns} FROM floor_event"
    )


@pytest.mark.parametrize("table", TABLES)
def test_no_table_is_emptied_at_once(table: str) -> None:
    if connection.vendor != "postgresql":
        pytest.skip("only PostgreSQL has TRUNCATE")
    # Keys are checked at the end; what is still to be checked would stop it first.
    connection.check_constraints()
    refused(f"TRUNCATE {table} CASCADE")


@pytest.mark.parametrize("model", TABLES.values())
def test_the_objects_change_no_row(
    model: type[Event] | type[Reading] | type[MaterialUse],
) -> None:
    before = whole()
    row = model.objects.order_by("pk")[0]
    field = {Event: "code", Reading: "unit", MaterialUse: "serial"}[model]
    setattr(row, field, "X")
    for change in (
        row.save,
        lambda: model.objects.update(**{field: "X"}),
        lambda: model.objects.bulk_update([row], [field]),
        lambda: model.objects.all()._raw_delete(model.objects.db),
    ):
        with (
            pytest.raises(IntegrityError, match="ledger only grows"),
            transaction.atomic(),
        ):
            change()
    assert whole() == before


def test_the_objects_take_no_row_out() -> None:
    before = whole()
    for model in TABLES.values():
        with pytest.raises(IntegrityError), transaction.atomic():
            model.objects.all().delete()
    assert whole() == before


def test_it_still_grows(shop: make.Shop, body: Part) -> None:
    count = Event.objects.count()
    assert shop.scan(Wish.HOLD, body, reason="knot").accepted
    assert Event.objects.count() == count + 1
