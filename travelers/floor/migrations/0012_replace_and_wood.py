"""Let the ledger hold that a part is made anew, and which wood it gets."""

from django.db import migrations, models

# SQLite makes a table anew to change a constraint, and its triggers go with the old.
TRIGGERS = "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s"
kept: list[tuple[str]] = []
KINDS = [
    *("START", "FINISH", "LOAD", "TAKE_OUT", "READ", "MATE", "USE", "DEFECT", "HOLD"),
    *("LIFT", "ALLOW", "ASK", "DECLINE", "UNDO", "REWORK", "SCRAP", "SWAP"),
    *("REPLACE", "WOOD"),
]


def keep_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        with schema_editor.connection.cursor() as cursor:
            kept[:] = cursor.execute(TRIGGERS, ["floor_event"]).fetchall()


def put_back_triggers(apps, schema_editor):
    for (sql,) in kept:
        schema_editor.execute(sql)
    kept.clear()


class Migration(migrations.Migration):
    dependencies = [("floor", "0011_pins")]

    operations = [
        migrations.RunPython(keep_triggers, put_back_triggers),
        migrations.RemoveConstraint(model_name="event", name="event_kind_known"),
        migrations.AlterField(
            model_name="event",
            name="kind",
            field=models.CharField(
                choices=[(kind, kind) for kind in KINDS], max_length=8
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", KINDS)), name="event_kind_known"
            ),
        ),
        migrations.RunPython(put_back_triggers, keep_triggers),
    ]
