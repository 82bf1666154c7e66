"""Keep what was used as it was told: it only grows, as the ledger does."""

from django.db import migrations

TABLES = ("floor_materialuse",)
MESSAGE = "The ledger only grows; correct it with a new event."
# On SQLite, INSERT OR REPLACE takes the row that stands in its way out without
# asking the trigger on DELETE; so such an INSERT is stopped itself.
IN_THE_WAY = {
    "floor_materialuse": (
        "id = NEW.id OR event_id = NEW.event_id AND need_id = NEW.need_id "
        "AND serial = NEW.serial"
    ),
}


def sqlite(table):
    make, drop = [], []
    for verb in ("UPDATE", "DELETE"):
        name = f"{table}_no_{verb.lower()}"
        make.append(
            f"CREATE TRIGGER {name} BEFORE {verb} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        )
        drop.append(f"DROP TRIGGER IF EXISTS {name}")
    make.append(
        f"CREATE TRIGGER {table}_no_replace BEFORE INSERT ON {table} "
        f"WHEN EXISTS (SELECT 1 FROM {table} WHERE {IN_THE_WAY[table]}) "
        f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
    )
    drop.append(f"DROP TRIGGER IF EXISTS {table}_no_replace")
    return make, drop


def postgresql(table):
    # The code of an integrity violation makes Django raise the same exception
    # on both databases.
    make = [
        "CREATE OR REPLACE FUNCTION floor_ledger_only_grows() RETURNS trigger AS $$ "
        f"BEGIN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = '23000'; END "
        "$$ LANGUAGE plpgsql",
        f"CREATE TRIGGER {table}_no_change BEFORE UPDATE OR DELETE ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION floor_ledger_only_grows()",
        f"CREATE TRIGGER {table}_no_truncate BEFORE TRUNCATE ON {table} "
        "FOR EACH STATEMENT EXECUTE FUNCTION floor_ledger_only_grows()",
    ]
    drop = [
        f"DROP TRIGGER IF EXISTS {table}_no_change ON {table}",
        f"DROP TRIGGER IF EXISTS {table}_no_truncate ON {table}",
    ]
    return make, drop


DIALECTS = {"sqlite": sqlite, "postgresql": postgresql}


def put_up(apps, schema_editor):
    for table in TABLES:
        for statement in DIALECTS[schema_editor.connection.vendor](table)[0]:
            schema_editor.execute(statement)


def take_down(apps, schema_editor):
    for table in TABLES:
        for statement in DIALECTS[schema_editor.connection.vendor](table)[1]:
            schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("floor", "0009_materials")]
    operations = [migrations.RunPython(put_up, take_down)]
