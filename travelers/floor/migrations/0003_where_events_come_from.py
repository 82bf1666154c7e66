"""Keep with each event how it came in: from which tablet, or from paper."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

# SQLite makes a table anew to add a constraint, and its triggers go with the old one.
TRIGGERS = "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = %s"
kept: list[tuple[str]] = []


def keep_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "sqlite":
        with schema_editor.connection.cursor() as cursor:
            kept[:] = cursor.execute(TRIGGERS, ["floor_event"]).fetchall()


def put_back_triggers(apps, schema_editor):
    for (sql,) in kept:
        schema_editor.execute(sql)
    kept.clear()


class Migration(migrations.Migration):
    dependencies = [
        ("floor", "0002_ledger_only_grows"),
        ("orders", "0002_index_open_instruments"),
        ("shop", "0002_tablets_and_sessions"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RunPython(keep_triggers, put_back_triggers),
        migrations.AddField(
            model_name="event",
            name="entered_by",
            field=models.ForeignKey(
                db_index=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="event",
            name="source",
            field=models.CharField(
                choices=[("SCREEN", "SCREEN"), ("PAPER", "PAPER")],
                default="SCREEN",
                max_length=6,
            ),
        ),
        migrations.AddField(
            model_name="event",
            name="tablet",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                db_index=False,
                related_name="events",
                to="shop.tablet",
            ),
        ),
        migrations.AddField(
            model_name="event",
            name="tablet_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="event",
            name="tablet_number",
            field=models.PositiveBigIntegerField(null=True),
        ),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(
                condition=models.Q(("tablet_number__isnull", False)),
                fields=["tablet", "tablet_number"],
                name="event_of_tablet",
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(("source__in", ["SCREEN", "PAPER"])),
                name="event_source_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("source", "PAPER"), _negated=True),
                    ("entered_by__isnull", False),
                    _connector="OR",
                ),
                name="event_from_paper_says_who_entered_it",
            ),
        ),
        migrations.RunPython(put_back_triggers, keep_triggers),
    ]
