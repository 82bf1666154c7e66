"""Keep what a released revision uses as it was released, and the materials it names."""

from django.db import migrations

MESSAGE = "A released revision never changes; make a new one."

NEEDS, MATERIALS = "routes_materialneed", "routes_material"
STATE = (
    "(SELECT r.state FROM routes_revision r JOIN routes_operation o "
    "ON o.revision_id = r.id WHERE o.id = {row}.operation_id)"
)
ROWS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}
# A material that a released revision names says what its instruments are made of.
NAMED = (
    "EXISTS (SELECT 1 FROM routes_materialneed n "
    "JOIN routes_operation o ON o.id = n.operation_id "
    "JOIN routes_revision r ON r.id = o.revision_id "
    "WHERE n.material_id = {row}.id AND r.state <> 'DRAFT')"
)


def conditions():
    """List (table, verb, condition under which the verb is stopped)."""
    for verb, rows in ROWS.items():
        stops = (f"{STATE.format(row=row)} <> 'DRAFT'" for row in rows)
        yield NEEDS, verb, " OR ".join(stops)
    for verb in ("UPDATE", "DELETE"):
        yield MATERIALS, verb, NAMED.format(row="OLD")


def replacing():
    """List (table, when and what, condition under which a kept row goes).

    On SQLite, OR REPLACE takes out the row that stands in its way without asking the
    trigger on DELETE.
    """
    need = (
        f"EXISTS (SELECT 1 FROM {NEEDS} kept WHERE kept.id = NEW.id "
        f"AND {STATE.format(row='kept')} <> 'DRAFT')"
    )
    yield NEEDS, "BEFORE INSERT", need
    yield NEEDS, "BEFORE UPDATE", f"NEW.id <> OLD.id AND {need}"
    material = (
        f"EXISTS (SELECT 1 FROM {MATERIALS} kept WHERE kept.id {{other}} AND "
        "(kept.id = NEW.id OR kept.code = NEW.code OR kept.name = NEW.name) "
        f"AND {NAMED.format(row='kept')})"
    )
    yield MATERIALS, "BEFORE INSERT", material.format(other="IS NOT NULL")
    yield MATERIALS, "BEFORE UPDATE", material.format(other="<> OLD.id")


def sqlite():
    stops = [
        (table, "kept_on", f"BEFORE {verb}", condition)
        for table, verb, condition in conditions()
    ]
    stops += [(table, "not_replaced", *stop) for table, *stop in replacing()]
    for table, what, verb, condition in stops:
        name = f"{table}_{what}_{verb.replace(' ', '_').lower()}"
        yield (
            f"CREATE TRIGGER {name} {verb} ON {table} WHEN {condition} "
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END",
            f"DROP TRIGGER IF EXISTS {name}",
        )


def postgresql():
    for table, verb, condition in conditions():
        name = f"{table}_kept_on_{verb.lower()}"
        back = "OLD" if verb == "DELETE" else "NEW"
        yield (
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger AS $$ BEGIN "
            f"IF {condition} THEN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = '23000';"
            f" END IF; RETURN {back}; END $$ LANGUAGE plpgsql; "
            f"CREATE TRIGGER {name} BEFORE {verb} ON {table} "
            f"FOR EACH ROW EXECUTE FUNCTION {name}()",
            f"DROP TRIGGER IF EXISTS {name} ON {table}; DROP FUNCTION IF EXISTS {name}()",
        )


DIALECTS = {"sqlite": sqlite, "postgresql": postgresql}


def put_up(apps, schema_editor):
    for make, _ in DIALECTS[schema_editor.connection.vendor]():
        schema_editor.execute(make)


def take_down(apps, schema_editor):
    for _, drop in DIALECTS[schema_editor.connection.vendor]():
        schema_editor.execute(drop)


class Migration(migrations.Migration):
    dependencies = [("routes", "0004_materials")]
    operations = [migrations.RunPython(put_up, take_down)]
