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


def sqlite():
    for table, verb, condition in conditions("IS NOT"):
        name = f"{table}_kept_on_{verb.lower()}"
        yield (
            f"CREATE TRIGGER {name} BEFORE {verb} ON {table} WHEN {condition} "
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
