"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("lumber", "0001_tables"),
        ("routes", "0001_tables"),
        ("shop", "0001_tables"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Instrument",
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
                ("serial", models.CharField(max_length=20, unique=True)),
                ("position", models.PositiveSmallIntegerField()),
                ("released_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("OPEN", "OPEN"),
                            ("FINISHED", "FINISHED"),
                            ("SCRAPPED", "SCRAPPED"),
                        ],
                        default="OPEN",
                        max_length=8,
                    ),
                ),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("held_at", models.DateTimeField(blank=True, null=True)),
                (
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="instruments",
                        to="routes.revision",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Part",
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
                    "branch",
                    models.CharField(
                        choices=[
                            ("BODY", "BODY"),
                            ("NECK", "NECK"),
                            ("ELECTRONICS", "ELECTRONICS"),
                            ("ASSEMBLY", "ASSEMBLY"),
                        ],
                        max_length=11,
                    ),
                ),
                ("code", models.CharField(max_length=8, unique=True)),
                ("held_at", models.DateTimeField(blank=True, null=True)),
                (
                    "look",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("WAITING", "WAITING"),
                            ("IN_WORK", "IN_WORK"),
                            ("DWELLING", "DWELLING"),
                            ("HELD", "HELD"),
                            ("SCRAPPED", "SCRAPPED"),
                        ],
                        max_length=8,
                        null=True,
                    ),
                ),
                ("since", models.DateTimeField(blank=True, null=True)),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="parts",
                        to="orders.instrument",
                    ),
                ),
                (
                    "plank_set",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="part",
                        to="lumber.plankset",
                    ),
                ),
                (
                    "stage",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.stage",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Step",
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
                ("position", models.PositiveIntegerField()),
                ("repeat", models.PositiveSmallIntegerField(default=1)),
                ("turn", models.PositiveSmallIntegerField(default=0)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("WAITING", "WAITING"),
                            ("READY", "READY"),
                            ("RUNNING", "RUNNING"),
                            ("DWELLING", "DWELLING"),
                            ("DONE", "DONE"),
                            ("VOID", "VOID"),
                        ],
                        default="WAITING",
                        max_length=8,
                    ),
                ),
                ("ready_at", models.DateTimeField(blank=True, null=True)),
                ("started_at", models.DateTimeField(blank=True, null=True)),
                ("dwell_until", models.DateTimeField(blank=True, null=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "at_station",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lying_steps",
                        to="shop.station",
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="orders.instrument",
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="routes.operation",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="steps",
                        to="orders.part",
                    ),
                ),
                (
                    "stage",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.stage",
                    ),
                ),
                (
                    "station",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.station",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="WorkOrder",
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
                ("number", models.CharField(max_length=20, unique=True)),
                ("finish", models.CharField(max_length=40)),
                ("note", models.CharField(blank=True, max_length=200)),
                ("quantity", models.PositiveSmallIntegerField()),
                ("due_on", models.DateField()),
                ("priority", models.PositiveSmallIntegerField(default=5)),
                ("made_at", models.DateTimeField()),
                ("released_at", models.DateTimeField(blank=True, null=True)),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "released_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "revision",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="orders",
                        to="routes.revision",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="instrument",
            name="order",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="instruments",
                to="orders.workorder",
            ),
        ),
        migrations.CreateModel(
            name="Allotment",
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
                    "branch",
                    models.CharField(
                        choices=[
                            ("BODY", "BODY"),
                            ("NECK", "NECK"),
                            ("ELECTRONICS", "ELECTRONICS"),
                            ("ASSEMBLY", "ASSEMBLY"),
                        ],
                        max_length=11,
                    ),
                ),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "plank_set",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="allotment",
                        to="lumber.plankset",
                    ),
                ),
                (
                    "order",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="allotments",
                        to="orders.workorder",
                    ),
                ),
            ],
        ),
        migrations.AddIndex(
            model_name="part",
            index=models.Index(
                condition=models.Q(("stage__isnull", False)),
                fields=["stage", "branch", "look", "since"],
                name="part_on_the_floor",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.UniqueConstraint(
                fields=("instrument", "branch"), name="part_once_a_branch"
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("branch__in", ["BODY", "NECK", "ELECTRONICS", "ASSEMBLY"])
                ),
                name="part_branch_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("look__isnull", True),
                        ("since__isnull", True),
                        ("stage__isnull", True),
                    ),
                    models.Q(
                        ("look__isnull", False),
                        ("since__isnull", False),
                        ("stage__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="part_place_is_whole",
            ),
        ),
        migrations.AddIndex(
            model_name="step",
            index=models.Index(
                condition=models.Q(
                    ("state__in", ("WAITING", "READY", "RUNNING", "DWELLING"))
                ),
                fields=["instrument"],
                name="step_open_of_instrument",
            ),
        ),
        migrations.AddIndex(
            model_name="step",
            index=models.Index(
                condition=models.Q(("state__in", ["READY", "RUNNING", "DWELLING"])),
                fields=["stage", "state", "ready_at"],
                name="step_active_at_stage",
            ),
        ),
        migrations.AddConstraint(
            model_name="step",
            constraint=models.UniqueConstraint(
                fields=("part", "position"), name="step_position_once_a_part"
            ),
        ),
        migrations.AddConstraint(
            model_name="step",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "state__in",
                        ["WAITING", "READY", "RUNNING", "DWELLING", "DONE", "VOID"],
                    )
                ),
                name="step_state_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="step",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "DONE"), _negated=True),
                    ("finished_at__isnull", False),
                    _connector="OR",
                ),
                name="step_done_has_when",
            ),
        ),
        migrations.AddConstraint(
            model_name="step",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "DWELLING"), _negated=True),
                    ("dwell_until__isnull", False),
                    _connector="OR",
                ),
                name="step_dwelling_has_until",
            ),
        ),
        migrations.AddConstraint(
            model_name="workorder",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity__gte", 1), ("quantity__lte", 500)),
                name="order_quantity_1_to_500",
            ),
        ),
        migrations.AddConstraint(
            model_name="workorder",
            constraint=models.CheckConstraint(
                condition=models.Q(("priority__gte", 1), ("priority__lte", 9)),
                name="order_priority_1_to_9",
            ),
        ),
        migrations.AddConstraint(
            model_name="workorder",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("released_at__isnull", True), ("released_by__isnull", True)
                    ),
                    models.Q(
                        ("released_at__isnull", False), ("released_by__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="order_release_has_who_and_when",
            ),
        ),
        migrations.AddConstraint(
            model_name="instrument",
            constraint=models.UniqueConstraint(
                fields=("order", "position"), name="instrument_place_once_an_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="instrument",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("closed_at__isnull", True), ("state", "OPEN")),
                    models.Q(
                        ("closed_at__isnull", False),
                        ("state__in", ["FINISHED", "SCRAPPED"]),
                    ),
                    _connector="OR",
                ),
                name="instrument_closed_has_when",
            ),
        ),
        migrations.AddConstraint(
            model_name="allotment",
            constraint=models.UniqueConstraint(
                fields=("order", "branch", "position"), name="allotment_once_a_place"
            ),
        ),
        migrations.AddConstraint(
            model_name="allotment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("branch__in", ["BODY", "NECK"]), ("position__gte", 1)
                ),
                name="allotment_is_of_wood",
            ),
        ),
    ]
