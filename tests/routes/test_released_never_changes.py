"""Once released, does a revision stay as it was, by the objects and by plain SQL?"""

import pytest
from django.db import IntegrityError, connection, transaction

from tests import make
from travelers.routes.models import (
    Caution,
    Characteristic,
    Material,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
)

pytestmark = pytest.mark.django_db

OF_A_REVISION = (Operation, Characteristic, Caution, MaterialNeed, Precedence)
KEPT = {
    Revision: ("number", "'Z'"),
    Operation: ("name", "'X'"),
    Characteristic: ("name", "'X'"),
    Caution: ("sentence", "'X'"),
    MaterialNeed: ("pieces", "2"),
    Precedence: ("after_id", "after_id"),
}
MODELS = list(KEPT)
Kept = type[Revision | Operation | Characteristic | Caution | MaterialNeed | Precedence]


@pytest.fixture(autouse=True)
def shop() -> make.Shop:
    return make.shop(uses=True)


@pytest.fixture
def draft(shop: make.Shop) -> Revision:
    draft = make.draft(shop.model, shop.cast, "B")
    make.use_materials(draft)
    return draft


def table(model: Kept) -> str:
    return model._meta.db_table


def whole() -> list[object]:
    return [list(model.objects.order_by("pk").values()) for model in MODELS]


def run(sql: str) -> int:
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.rowcount


def refused(sql: str) -> None:
    before = whole()
    with pytest.raises(IntegrityError, match="released revision never changes"):
        run(sql)
    assert whole() == before


@pytest.mark.parametrize("model", MODELS)
def test_plain_sql_changes_nothing_of_a_released_revision(model: Kept) -> None:
    column, value = KEPT[model]
    refused(f"UPDATE {table(model)} SET {column} = {value}")


@pytest.mark.parametrize("model", MODELS)
def test_no_column_of_it_can_be_written_again(model: Kept) -> None:
    """Not even with the value that it has."""
    for field in model._meta.concrete_fields:
        refused(f"UPDATE {table(model)} SET {field.column} = {field.column}")


@pytest.mark.parametrize("model", MODELS)
def test_plain_sql_takes_nothing_of_it_out(model: Kept) -> None:
    if model is not Revision:
        refused(f"DELETE FROM {table(model)}")
        return
    # Its operations would hold it already; here nothing else does.
    bare = Revision.objects.create(model=make.InstrumentModel.objects.get(), number="C")
    release(bare)
    refused(f"DELETE FROM routes_revision WHERE id = {bare.pk}")


def release(revision: Revision) -> None:
    """Release by hand what no one could work through, to try the trigger alone."""
    Revision.objects.filter(state="RELEASED").update(
        state="RETIRED", retired_at=make.MORNING
    )
    Revision.objects.filter(pk=revision.pk).update(
        state="RELEASED",
        released_at=make.MORNING,
        released_by=Revision.objects.exclude(released_by=None)[0].released_by,
    )


@pytest.mark.parametrize("model", OF_A_REVISION)
def test_nothing_is_added_to_it(model: Kept) -> None:
    """A copy of a row with another key is a row more of a released revision."""
    names = [f.column for f in model._meta.concrete_fields if not f.primary_key]
    own = ", ".join(f'"{name}"' for name in names)
    fresh = {"number": "99", "code": "'NEW'", "sign": "'W001'"}
    values = ", ".join(fresh.get(name, f'"{name}"') for name in names)
    if model is Precedence:
        values = "after_id, before_id"
    refused(
        f"INSERT INTO {table(model)} ({own}) "
        f"SELECT {values} FROM {table(model)} ORDER BY id LIMIT 1"
    )


@pytest.mark.parametrize("model", OF_A_REVISION)
def test_no_row_moves_between_a_draft_and_a_released_one(
    draft: Revision, model: Kept
) -> None:
    path = {
        Operation: "revision",
        Characteristic: "operation__revision",
        Caution: "operation__revision",
        MaterialNeed: "operation__revision",
        Precedence: "after__revision",
    }[model]
    column = {Operation: "revision_id", Precedence: "after_id"}.get(
        model, "operation_id"
    )
    kept = model.objects.exclude(**{path: draft}).order_by("pk")[0]
    loose = model.objects.filter(**{path: draft}).order_by("pk")[0]
    for moved, other in ((kept, loose), (loose, kept)):
        refused(
            f"UPDATE {table(model)} SET {column} = {getattr(other, column)} "
            f"WHERE id = {moved.pk}"
        )


@pytest.mark.parametrize("model", MODELS)
def test_no_row_of_it_is_replaced(draft: Revision, model: Kept) -> None:
    """REPLACE would push a released row out in favour of one of a draft."""
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has OR REPLACE")
    rows = model.objects.order_by("pk")
    kept = rows[0]
    loose = rows.last()
    assert loose
    assert kept.pk != loose.pk
    names = [f'"{field.column}"' for field in model._meta.concrete_fields]
    values = [str(kept.pk) if name == '"id"' else name for name in names]
    refused(
        f"INSERT OR REPLACE INTO {table(model)} ({', '.join(names)}) "
        f"SELECT {', '.join(values)} FROM {table(model)} WHERE id = {loose.pk}"
    )
    refused(
        f"UPDATE OR REPLACE {table(model)} SET id = {kept.pk} WHERE id = {loose.pk}"
    )


def test_no_revision_pushes_a_released_one_out(
    shop: make.Shop, draft: Revision
) -> None:
    """Two of one number, or two released of one model, cannot stand side by side."""
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has OR REPLACE")
    by = shop.cast.engineer.pk
    at = make.MORNING.isoformat()
    released = f"state = 'RELEASED', released_at = '{at}', released_by_id = {by}"
    for change in ("number = 'A'", released):
        refused(f"UPDATE OR REPLACE routes_revision SET {change} WHERE id = {draft.pk}")
    refused(
        "INSERT OR REPLACE INTO routes_revision (model_id, number, state) "
        f"VALUES ({shop.model.pk}, 'A', 'DRAFT')"
    )


@pytest.mark.parametrize("model", OF_A_REVISION)
def test_the_objects_change_nothing_of_it(model: Kept) -> None:
    before = whole()
    row = model.objects.order_by("pk")[0]
    for change in (row.save, row.delete):
        with pytest.raises(IntegrityError), transaction.atomic():
            change()
    assert whole() == before


def test_a_draft_can_be_worked_on(draft: Revision) -> None:
    of_draft = f"(SELECT id FROM routes_operation WHERE revision_id = {draft.pk})"
    assert run(
        f"UPDATE routes_caution SET sentence = 'X' WHERE operation_id IN {of_draft}"
    )
    assert run(f"DELETE FROM routes_characteristic WHERE operation_id IN {of_draft}")
    assert run(f"DELETE FROM routes_precedence WHERE after_id IN {of_draft}")
    assert run(f"DELETE FROM routes_caution WHERE operation_id IN {of_draft}")
    assert run(f"UPDATE routes_operation SET name = 'X' WHERE revision_id = {draft.pk}")
    assert run(
        f"UPDATE routes_materialneed SET pieces = 3 WHERE operation_id IN {of_draft}"
    )
    assert run(f"DELETE FROM routes_materialneed WHERE operation_id IN {of_draft}")
    assert run(f"DELETE FROM routes_operation WHERE revision_id = {draft.pk}")
    assert run(f"UPDATE routes_revision SET number = 'C' WHERE id = {draft.pk}")
    assert run(f"DELETE FROM routes_revision WHERE id = {draft.pk}")


def test_a_released_one_can_only_be_retired(shop: make.Shop) -> None:
    pk = shop.revision.pk
    now = make.MORNING.isoformat()
    refused(f"UPDATE routes_revision SET state = 'DRAFT' WHERE id = {pk}")
    refused(
        f"UPDATE routes_revision SET state = 'RETIRED', retired_at = '{now}', "
        f"number = 'Z' WHERE id = {pk}"
    )
    assert run(
        f"UPDATE routes_revision SET state = 'RETIRED', retired_at = '{now}' "
        f"WHERE id = {pk}"
    )
    for state in ("RELEASED", "DRAFT", "RETIRED"):
        refused(f"UPDATE routes_revision SET state = '{state}' WHERE id = {pk}")


def test_a_retired_one_keeps_its_operations_too(shop: make.Shop) -> None:
    Revision.objects.filter(pk=shop.revision.pk).update(
        state="RETIRED", retired_at=make.MORNING
    )
    refused("UPDATE routes_operation SET name = 'X'")
    refused("DELETE FROM routes_precedence")


@pytest.mark.parametrize("column", ["code", "name", "traced"])
def test_a_material_that_it_names_stays_as_it_is(column: str) -> None:
    value = {"traced": "'SERIAL'"}.get(column, "'OTHER'")
    glue = Material.objects.get(code="GLUE")
    refused(f"UPDATE routes_material SET {column} = {value} WHERE id = {glue.pk}")
    refused(f"DELETE FROM routes_material WHERE id = {glue.pk}")


def test_a_material_that_it_names_is_not_replaced() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("only SQLite has OR REPLACE")
    glue = Material.objects.get(code="GLUE")
    other = Material.objects.create(code="WAX", name="Wax", traced="BATCH")
    columns = "(id, code, name, traced)"
    for row in (
        f"({glue.pk}, 'NEW', 'New', 'SERIAL')",
        "(NULL, 'GLUE', 'New', 'SERIAL')",
        "(NULL, 'NEW', 'Hide glue', 'SERIAL')",
    ):
        refused(f"INSERT OR REPLACE INTO routes_material {columns} VALUES {row}")
    for change in (f"id = {glue.pk}", "code = 'GLUE'", "name = 'Hide glue'"):
        refused(f"UPDATE OR REPLACE routes_material SET {change} WHERE id = {other.pk}")


def test_a_material_that_no_released_one_names_changes(draft: Revision) -> None:
    wax = Material.objects.create(code="WAX", name="Wax", traced="BATCH")
    MaterialNeed.objects.create(
        operation=draft.operations.get(branch="NECK", number=10), material=wax
    )
    assert run(f"UPDATE routes_material SET traced = 'SERIAL' WHERE id = {wax.pk}")
