"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("floor", "0001_tables"),
        ("orders", "0001_tables"),
        ("routes", "0001_tables"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Defect",
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
                (
                    "severity",
                    models.CharField(
                        choices=[
                            ("MINOR", "MINOR"),
                            ("MAJOR", "MAJOR"),
                            ("STOP", "STOP"),
                        ],
                        max_length=5,
                    ),
                ),
                ("x", models.DecimalField(decimal_places=3, max_digits=4)),
                ("y", models.DecimalField(decimal_places=3, max_digits=4)),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defect",
                        to="floor.event",
                    ),
                ),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defects",
                        to="routes.defectkind",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defects",
                        to="orders.part",
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="defects",
                        to="orders.step",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Disposition",
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
                (
                    "decision",
                    models.CharField(
                        choices=[
                            ("USE_AS_IS", "USE_AS_IS"),
                            ("REWORK", "REWORK"),
                            ("DOWNGRADE", "DOWNGRADE"),
                            ("SCRAP", "SCRAP"),
                        ],
                        max_length=9,
                    ),
                ),
                ("decided_at", models.DateTimeField()),
                ("reason", models.CharField(max_length=200)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "defect",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disposition",
                        to="quality.defect",
                    ),
                ),
                (
                    "event",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="disposition",
                        to="floor.event",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("x__gte", 0), ("x__lte", 1), ("y__gte", 0), ("y__lte", 1)
                ),
                name="defect_lies_on_the_outline",
            ),
        ),
        migrations.AddConstraint(
            model_name="defect",
            constraint=models.CheckConstraint(
                condition=models.Q(("severity__in", ["MINOR", "MAJOR", "STOP"])),
                name="defect_severity_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="disposition",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("decision__in", ["USE_AS_IS", "REWORK", "DOWNGRADE", "SCRAP"]),
                    models.Q(("reason", ""), _negated=True),
                ),
                name="disposition_has_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="disposition",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("decision__in", ["REWORK", "SCRAP"]), ("event__isnull", False)
                    ),
                    models.Q(
                        ("decision__in", ["USE_AS_IS", "DOWNGRADE"]),
                        ("event__isnull", True),
                    ),
                    _connector="OR",
                ),
                name="disposition_that_moves_names_its_event",
            ),
        ),
    ]
