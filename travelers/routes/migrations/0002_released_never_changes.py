"""Keep a released revision and all that hangs on it as it was released."""

from django.db import migrations

MESSAGE = "A released revision never changes; make a new one."

# Of a revision itself only the step RELEASED -> RETIRED is let through.
KEPT = ("model_id", "number", "released_at", "released_by_id")
# table -> the state of the revision that a row (NEW or OLD) belongs to.
OF_OPERATION = (
    "(SELECT r.state FROM routes_revision r JOIN routes_operation o "
    "ON o.revision_id = r.id WHERE o.id = {row}.operation_id)"
)
OF_BEFORE = (
    "(SELECT r.state FROM routes_revision r JOIN routes_operation o "
    "ON o.revision_id = r.id WHERE o.id = {row}.after_id)"
)
STATES = {
    "routes_operation": (
        "(SELECT r.state FROM routes_revision r WHERE r.id = {row}.revision_id)"
    ),
    "routes_characteristic": OF_OPERATION,
    "routes_caution": OF_OPERATION,
    "routes_precedence": OF_BEFORE,
}
ROWS = {"INSERT": ("NEW",), "UPDATE": ("OLD", "NEW"), "DELETE": ("OLD",)}


def changed(sign):
    return " OR ".join(f"NEW.{name} {sign} OLD.{name}" for name in KEPT)


def revision_rule(sign):
    return {
        "DELETE": "OLD.state <> 'DRAFT'",
        "UPDATE": (
            f"OLD.state = 'RETIRED' OR OLD.state = 'RELEASED' AND "
            f"(NEW.state <> 'RETIRED' OR {changed(sign)})"
        ),
    }


def conditions(sign):
    """List (table, verb, condition under which the verb is stopped)."""
    for verb, condition in revision_rule(sign).items():
        yield "routes_revision", verb, condition
    for table, state in STATES.items():
        for verb, rows in ROWS.items():
            yield (
                table,
                verb,
                " OR ".join(f"{state.format(row=row)} <> 'DRAFT'" for row in rows),
            )


# On SQLite, OR REPLACE takes out the row that stands in its way without asking the
# trigger on DELETE.  A row with the key of a kept one is stopped beforehand; a
# revision that pushed another out by its number or state is seen by the operations
# that were left behind.
LEFT_BEHIND = (
    "EXISTS (SELECT 1 FROM routes_operation o WHERE NOT EXISTS "
    "(SELECT 1 FROM routes_revision r WHERE r.id = o.revision_id))"
)


def replacing():
    """List (table, when and what, condition under which a kept row goes)."""
    states = {"routes_revision": "kept.state"} | {
        table: state.format(row="kept") for table, state in STATES.items()
    }
    for table, state in states.items():
        kept = (
            f"SELECT 1 FROM {table} kept WHERE kept.id = NEW.id AND {state} <> 'DRAFT'"
        )
        yield table, "BEFORE INSERT", f"EXISTS ({kept})"
        yield table, "BEFORE UPDATE", f"NEW.id <> OLD.id AND EXISTS ({kept})"
    for verb in ("INSERT", "UPDATE"):
        yield "routes_revision", f"AFTER {verb}", LEFT_BEHIND


def sqlite():
    stops = [
        (table, "kept_on", f"BEFORE {verb}", condition)
        for table, verb, condition in conditions("IS NOT")
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
    for table, verb, condition in conditions("IS DISTINCT FROM"):
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
    dependencies = [("routes", "0001_tables")]
    operations = [migrations.RunPython(put_up, take_down)]
