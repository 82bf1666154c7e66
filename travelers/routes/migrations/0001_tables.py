"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("shop", "0001_tables"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="DefectKind",
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
                ("code", models.CharField(max_length=20, unique=True)),
                ("name", models.CharField(max_length=40)),
                ("origins", models.CharField(max_length=120)),
                (
                    "usual",
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
                (
                    "stages",
                    models.ManyToManyField(
                        related_name="defect_kinds", to="shop.stage"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="DefectBranch",
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
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="branches",
                        to="routes.defectkind",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "defect branches",
            },
        ),
        migrations.CreateModel(
            name="InstrumentModel",
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
                ("code", models.CharField(max_length=12, unique=True)),
                ("name", models.CharField(max_length=40)),
                ("shape", models.CharField(max_length=20)),
                ("serial_prefix", models.CharField(max_length=4, unique=True)),
                ("scale_mm", models.DecimalField(decimal_places=2, max_digits=6)),
                ("strings", models.PositiveSmallIntegerField()),
                ("frets", models.PositiveSmallIntegerField()),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("frets__gte", 1), ("scale_mm__gt", 0), ("strings__gte", 1)
                        ),
                        name="model_has_scale_strings_frets",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Finish",
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
                ("name", models.CharField(max_length=40)),
                (
                    "model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="finishes",
                        to="routes.instrumentmodel",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "finishes",
            },
        ),
        migrations.CreateModel(
            name="Operation",
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
                ("number", models.PositiveSmallIntegerField()),
                ("name", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("WORK", "WORK"),
                            ("HOLD", "HOLD"),
                            ("INSPECT", "INSPECT"),
                            ("JOIN", "JOIN"),
                        ],
                        max_length=7,
                    ),
                ),
                (
                    "joins",
                    models.CharField(
                        choices=[
                            ("NOTHING", "NOTHING"),
                            ("PIECES", "PIECES"),
                            ("BRANCHES", "BRANCHES"),
                        ],
                        default="NOTHING",
                        max_length=8,
                    ),
                ),
                ("planned_s", models.PositiveIntegerField()),
                ("shortest_dwell_s", models.PositiveIntegerField(default=0)),
                ("longest_gap_s", models.PositiveIntegerField(blank=True, null=True)),
                ("times", models.PositiveSmallIntegerField(default=1)),
                (
                    "shortest_between_s",
                    models.PositiveIntegerField(blank=True, null=True),
                ),
                (
                    "longest_between_s",
                    models.PositiveIntegerField(blank=True, null=True),
                ),
                ("instruction", models.TextField(blank=True)),
                ("picture", models.CharField(blank=True, max_length=20)),
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
            name="Characteristic",
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
                ("code", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("MEASURED", "MEASURED"),
                            ("COUNTED", "COUNTED"),
                            ("JUDGED", "JUDGED"),
                        ],
                        max_length=8,
                    ),
                ),
                ("unit", models.CharField(blank=True, max_length=12)),
                (
                    "nominal",
                    models.DecimalField(
                        blank=True, decimal_places=4, max_digits=12, null=True
                    ),
                ),
                (
                    "lower",
                    models.DecimalField(
                        blank=True, decimal_places=4, max_digits=12, null=True
                    ),
                ),
                (
                    "upper",
                    models.DecimalField(
                        blank=True, decimal_places=4, max_digits=12, null=True
                    ),
                ),
                ("decimals", models.PositiveSmallIntegerField(default=2)),
                ("places", models.PositiveSmallIntegerField(default=1)),
                ("place_name", models.CharField(blank=True, max_length=20)),
                ("every_nth", models.PositiveSmallIntegerField(default=1)),
                ("gauge_kind", models.CharField(blank=True, max_length=30)),
                ("charted", models.BooleanField(default=False)),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="characteristics",
                        to="routes.operation",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Caution",
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
                ("sign", models.CharField(max_length=4)),
                ("sentence", models.CharField(max_length=160)),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cautions",
                        to="routes.operation",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Precedence",
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
                    "after",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="waits_for",
                        to="routes.operation",
                    ),
                ),
                (
                    "before",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followers",
                        to="routes.operation",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Revision",
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
                ("number", models.CharField(max_length=6)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("DRAFT", "DRAFT"),
                            ("RELEASED", "RELEASED"),
                            ("RETIRED", "RETIRED"),
                        ],
                        default="DRAFT",
                        max_length=8,
                    ),
                ),
                ("released_at", models.DateTimeField(blank=True, null=True)),
                ("retired_at", models.DateTimeField(blank=True, null=True)),
                (
                    "model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="revisions",
                        to="routes.instrumentmodel",
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
            ],
        ),
        migrations.AddField(
            model_name="operation",
            name="revision",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="operations",
                to="routes.revision",
            ),
        ),
        migrations.CreateModel(
            name="WoodNeed",
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
                ("pieces", models.PositiveSmallIntegerField()),
                ("length_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("width_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("thickness_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                (
                    "model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="wood_needs",
                        to="routes.instrumentmodel",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="defectkind",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("usual__in", ["USE_AS_IS", "REWORK", "DOWNGRADE", "SCRAP"])
                ),
                name="defect_kind_usual_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="defectbranch",
            constraint=models.UniqueConstraint(
                fields=("kind", "branch"), name="defect_branch_once_a_kind"
            ),
        ),
        migrations.AddConstraint(
            model_name="finish",
            constraint=models.UniqueConstraint(
                fields=("model", "name"), name="finish_once_a_model"
            ),
        ),
        migrations.AddConstraint(
            model_name="characteristic",
            constraint=models.UniqueConstraint(
                fields=("operation", "code"), name="characteristic_once_an_operation"
            ),
        ),
        migrations.AddConstraint(
            model_name="characteristic",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("lower__isnull", True),
                        ("upper__isnull", True),
                        ("lower__lt", models.F("upper")),
                        _connector="OR",
                    ),
                    models.Q(
                        ("nominal__isnull", True),
                        models.Q(
                            models.Q(
                                ("lower__isnull", True),
                                ("lower__lte", models.F("nominal")),
                                _connector="OR",
                            ),
                            models.Q(
                                ("upper__isnull", True),
                                ("nominal__lte", models.F("upper")),
                                _connector="OR",
                            ),
                        ),
                        _connector="OR",
                    ),
                ),
                name="characteristic_limits_in_order",
            ),
        ),
        migrations.AddConstraint(
            model_name="characteristic",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("kind", "JUDGED"),
                        ("lower__isnull", True),
                        ("upper__isnull", True),
                    ),
                    ("kind", "COUNTED"),
                    models.Q(
                        ("kind", "MEASURED"),
                        models.Q(("unit", ""), _negated=True),
                        models.Q(
                            ("lower__isnull", False),
                            ("upper__isnull", False),
                            _connector="OR",
                        ),
                    ),
                    _connector="OR",
                ),
                name="characteristic_measured_has_unit_and_limit",
            ),
        ),
        migrations.AddConstraint(
            model_name="characteristic",
            constraint=models.CheckConstraint(
                condition=models.Q(("every_nth__gte", 1), ("places__gte", 1)),
                name="characteristic_has_a_place",
            ),
        ),
        migrations.AddConstraint(
            model_name="caution",
            constraint=models.UniqueConstraint(
                fields=("operation", "sign"), name="caution_sign_once_an_operation"
            ),
        ),
        migrations.AddConstraint(
            model_name="caution",
            constraint=models.CheckConstraint(
                condition=models.Q(("sign__regex", "^[WMPEF][0-9]{3}$")),
                name="caution_sign_is_an_iso_7010_code",
            ),
        ),
        migrations.AddConstraint(
            model_name="precedence",
            constraint=models.UniqueConstraint(
                fields=("before", "after"), name="precedence_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="precedence",
            constraint=models.CheckConstraint(
                condition=models.Q(("before", models.F("after")), _negated=True),
                name="precedence_not_of_itself",
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.UniqueConstraint(
                fields=("model", "number"), name="revision_number_once_a_model"
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state", "RELEASED")),
                fields=("model",),
                name="revision_released_once_a_model",
            ),
        ),
        migrations.AddConstraint(
            model_name="revision",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("released_at__isnull", True),
                        ("released_by__isnull", True),
                        ("retired_at__isnull", True),
                        ("state", "DRAFT"),
                    ),
                    models.Q(
                        ("released_at__isnull", False),
                        ("released_by__isnull", False),
                        ("retired_at__isnull", True),
                        ("state", "RELEASED"),
                    ),
                    models.Q(
                        ("released_at__isnull", False),
                        ("released_by__isnull", False),
                        ("retired_at__isnull", False),
                        ("state", "RETIRED"),
                    ),
                    _connector="OR",
                ),
                name="revision_who_and_when_fit_state",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.UniqueConstraint(
                fields=("revision", "branch", "number"),
                name="operation_number_once_a_branch",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("branch__in", ["BODY", "NECK", "ELECTRONICS", "ASSEMBLY"]),
                    ("kind__in", ["WORK", "HOLD", "INSPECT", "JOIN"]),
                ),
                name="operation_branch_and_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "JOIN"), ("joins__in", ["PIECES", "BRANCHES"])),
                    models.Q(
                        models.Q(("kind", "JOIN"), _negated=True), ("joins", "NOTHING")
                    ),
                    _connector="OR",
                ),
                name="operation_join_says_what",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "HOLD"), _negated=True),
                    ("shortest_dwell_s__gt", 0),
                    _connector="OR",
                ),
                name="operation_hold_has_a_dwell",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("times__gte", 1),
                    models.Q(
                        ("times__gt", 1),
                        models.Q(
                            ("longest_between_s__isnull", True),
                            ("shortest_between_s__isnull", True),
                        ),
                        _connector="OR",
                    ),
                ),
                name="operation_gaps_between_only_when_repeated",
            ),
        ),
        migrations.AddConstraint(
            model_name="operation",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("shortest_between_s__isnull", True),
                    ("longest_between_s__isnull", True),
                    ("shortest_between_s__lte", models.F("longest_between_s")),
                    _connector="OR",
                ),
                name="operation_shortest_between_below_longest",
            ),
        ),
        migrations.AddConstraint(
            model_name="woodneed",
            constraint=models.UniqueConstraint(
                fields=("model", "branch"), name="wood_need_once_a_branch"
            ),
        ),
        migrations.AddConstraint(
            model_name="woodneed",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("branch__in", ["BODY", "NECK"]),
                    ("length_mm__gt", 0),
                    ("pieces__gte", 1),
                    ("thickness_mm__gt", 0),
                    ("width_mm__gt", 0),
                ),
                name="wood_need_has_pieces",
            ),
        ),
    ]
