"""Batches, where they stand, what holds them, and what was used."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("floor", "0008_use"),
        ("orders", "0002_index_open_instruments"),
        ("routes", "0005_materials_stay"),
        ("shop", "0005_workshop_air"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Batch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("code", models.CharField(max_length=8, unique=True)),
                ("number", models.CharField(max_length=24)),
                ("received_on", models.DateField()),
                ("expires_on", models.DateField(blank=True, null=True)),
                ("opened_at", models.DateTimeField(null=True)),
                ("taken_in_at", models.DateTimeField()),
            ],
            options={
                "verbose_name_plural": "batches",
            },
        ),
        migrations.CreateModel(
            name="BatchAtStation",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("began_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="BatchHold",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("uuid", models.UUIDField(unique=True)),
                ("reason", models.CharField(max_length=200)),
                ("held_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(null=True)),
                ("lifted_reason", models.CharField(blank=True, max_length=200)),
            ],
        ),
        migrations.CreateModel(
            name="MaterialUse",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("serial", models.CharField(blank=True, max_length=24)),
            ],
        ),
        migrations.AddField(
            model_name="batch",
            name="material",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="routes.material",
            ),
        ),
        migrations.AddField(
            model_name="batch",
            name="taken_in_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="batchatstation",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="stations",
                to="floor.batch",
            ),
        ),
        migrations.AddField(
            model_name="batchatstation",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="batchatstation",
            name="station",
            field=models.ForeignKey(
                db_index=False,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="shop.station",
            ),
        ),
        migrations.AddField(
            model_name="batchhold",
            name="batch",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="holds",
                to="floor.batch",
            ),
        ),
        migrations.AddField(
            model_name="batchhold",
            name="held_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="batchhold",
            name="lifted_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="materialuse",
            name="batch",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="uses",
                to="floor.batch",
            ),
        ),
        migrations.AddField(
            model_name="materialuse",
            name="event",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="uses",
                to="floor.event",
            ),
        ),
        migrations.AddField(
            model_name="materialuse",
            name="need",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="uses",
                to="routes.materialneed",
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.UniqueConstraint(
                fields=("material", "number"), name="batch_number_once_a_material"
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(("number", ""), _negated=True),
                name="batch_has_a_number",
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("expires_on__isnull", True),
                    ("expires_on__gte", models.F("received_on")),
                    _connector="OR",
                ),
                name="batch_received_before_it_expires",
            ),
        ),
        migrations.AddIndex(
            model_name="batchatstation",
            index=models.Index(fields=["station", "began_at"], name="batch_at_station"),
        ),
        migrations.AddIndex(
            model_name="batchhold",
            index=models.Index(
                condition=models.Q(("lifted_at__isnull", True)),
                fields=["batch"],
                name="batch_hold_open",
            ),
        ),
        migrations.AddConstraint(
            model_name="batchhold",
            constraint=models.CheckConstraint(
                condition=models.Q(("reason", ""), _negated=True),
                name="batch_hold_has_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="batchhold",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("lifted_at__isnull", True),
                        ("lifted_by__isnull", True),
                        ("lifted_reason", ""),
                    ),
                    models.Q(
                        ("lifted_at__isnull", False),
                        ("lifted_by__isnull", False),
                        models.Q(("lifted_reason", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="batch_hold_lifted_says_who_and_why",
            ),
        ),
        migrations.AddIndex(
            model_name="materialuse",
            index=models.Index(
                condition=models.Q(("serial", ""), _negated=True),
                fields=["serial"],
                name="use_of_serial",
            ),
        ),
        migrations.AddConstraint(
            model_name="materialuse",
            constraint=models.UniqueConstraint(
                fields=("event", "need", "serial"), name="use_once_an_event"
            ),
        ),
        migrations.AddConstraint(
            model_name="materialuse",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("batch__isnull", False), ("serial", "")),
                    models.Q(
                        ("batch__isnull", True), models.Q(("serial", ""), _negated=True)
                    ),
                    _connector="OR",
                ),
                name="use_is_of_a_batch_or_a_serial",
            ),
        ),
    ]
