"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("orders", "0001_tables"),
        ("routes", "0001_tables"),
        ("shop", "0001_tables"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Event",
            fields=[
                ("seq", models.BigAutoField(primary_key=True, serialize=False)),
                ("event_id", models.UUIDField(unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("START", "START"),
                            ("FINISH", "FINISH"),
                            ("LOAD", "LOAD"),
                            ("TAKE_OUT", "TAKE_OUT"),
                            ("READ", "READ"),
                            ("MATE", "MATE"),
                            ("DEFECT", "DEFECT"),
                            ("HOLD", "HOLD"),
                            ("LIFT", "LIFT"),
                            ("ALLOW", "ALLOW"),
                            ("REWORK", "REWORK"),
                            ("SCRAP", "SCRAP"),
                        ],
                        max_length=8,
                    ),
                ),
                ("code", models.CharField(blank=True, max_length=64)),
                ("happened_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("data", models.JSONField()),
                ("accepted", models.BooleanField()),
                ("refusal", models.CharField(blank=True, max_length=40)),
                ("came_late", models.BooleanField()),
                ("allowed_reason", models.CharField(blank=True, max_length=200)),
                ("wish_digest", models.CharField(max_length=64)),
                ("previous_digest", models.CharField(blank=True, max_length=64)),
                ("digest", models.CharField(max_length=64)),
                (
                    "allowed_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "corrects",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="floor.event",
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to="orders.instrument",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to="orders.part",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "station",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.station",
                    ),
                ),
                (
                    "step",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to="orders.step",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Hold",
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
                ("reason", models.CharField(max_length=200)),
                (
                    "event",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="hold",
                        to="floor.event",
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="orders.instrument",
                    ),
                ),
                (
                    "lifted",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lifted_hold",
                        to="floor.event",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="holds",
                        to="orders.part",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Reading",
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
                ("place", models.PositiveSmallIntegerField()),
                ("value", models.DecimalField(decimal_places=4, max_digits=14)),
                ("unit", models.CharField(blank=True, max_length=12)),
                ("verdict", models.CharField(max_length=6)),
                ("in_calibration", models.BooleanField(null=True)),
                (
                    "characteristic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="routes.characteristic",
                    ),
                ),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="floor.event",
                    ),
                ),
                (
                    "gauge",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="shop.gauge",
                    ),
                ),
            ],
        ),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(
                fields=["instrument", "seq"], name="event_of_instrument"
            ),
        ),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(fields=["step", "seq"], name="event_of_step"),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "START",
                            "FINISH",
                            "LOAD",
                            "TAKE_OUT",
                            "READ",
                            "MATE",
                            "DEFECT",
                            "HOLD",
                            "LIFT",
                            "ALLOW",
                            "REWORK",
                            "SCRAP",
                        ],
                    )
                ),
                name="event_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("accepted", True), ("refusal", "")),
                    models.Q(
                        ("accepted", False), models.Q(("refusal", ""), _negated=True)
                    ),
                    _connector="OR",
                ),
                name="event_refused_says_why",
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("allowed_by__isnull", True), ("allowed_reason", "")),
                    models.Q(
                        ("allowed_by__isnull", False),
                        models.Q(("allowed_reason", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="event_allowed_has_who_and_why",
            ),
        ),
        migrations.AddConstraint(
            model_name="event",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("accepted", False), ("instrument__isnull", False), _connector="OR"
                ),
                name="event_accepted_is_of_an_instrument",
            ),
        ),
        migrations.AddIndex(
            model_name="hold",
            index=models.Index(
                condition=models.Q(("lifted__isnull", True)),
                fields=["instrument"],
                name="hold_open_of_instrument",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(("reason", ""), _negated=True),
                name="hold_has_a_reason",
            ),
        ),
        migrations.AddIndex(
            model_name="reading",
            index=models.Index(
                fields=["characteristic", "place", "id"], name="reading_of_check"
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.UniqueConstraint(
                fields=("event", "characteristic", "place"),
                name="reading_once_an_event_and_place",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(("verdict__in", ["INSIDE", "LOW", "HIGH"])),
                name="reading_verdict_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="reading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("gauge__isnull", True), ("in_calibration__isnull", True)),
                    models.Q(
                        ("gauge__isnull", False), ("in_calibration__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="reading_gauge_says_calibration",
            ),
        ),
    ]
