"""Write down how wet wood is, and what the handbook calls its species."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lumber", "0002_room_climate"),
        ("shop", "0004_house_rules"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name="species",
            name="handbook_name",
            field=models.CharField(blank=True, default="", max_length=40),
        ),
        migrations.CreateModel(
            name="MoistureReading",
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
                ("point", models.PositiveSmallIntegerField(default=1)),
                ("read_at", models.DateTimeField()),
                (
                    "method",
                    models.CharField(
                        choices=[("METER", "METER"), ("OVEN", "OVEN")], max_length=5
                    ),
                ),
                ("in_calibration", models.BooleanField(blank=True, null=True)),
                (
                    "shown_pct",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=4, null=True
                    ),
                ),
                (
                    "wood_c",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=4, null=True
                    ),
                ),
                (
                    "wet_mass_g",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=8, null=True
                    ),
                ),
                (
                    "dry_mass_g",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=8, null=True
                    ),
                ),
                ("moisture_pct", models.DecimalField(decimal_places=2, max_digits=5)),
                (
                    "gauge",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="moistures",
                        to="shop.gauge",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "piece",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="moistures",
                        to="lumber.piece",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["piece", "-read_at"], name="moisture_of_piece_newest"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("piece", "point", "read_at"),
                        name="moisture_once_a_moment",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("method__in", ["METER", "OVEN"])),
                        name="moisture_method_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("method", "METER"), _negated=True),
                            models.Q(
                                ("dry_mass_g__isnull", True),
                                ("gauge__isnull", False),
                                ("in_calibration__isnull", False),
                                ("shown_pct__isnull", False),
                                ("wet_mass_g__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="moisture_has_what_a_meter_gives",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("method", "OVEN"), _negated=True),
                            models.Q(
                                ("dry_mass_g__gt", 0),
                                ("dry_mass_g__isnull", False),
                                ("shown_pct__isnull", True),
                                ("wet_mass_g__gte", models.F("dry_mass_g")),
                                ("wet_mass_g__isnull", False),
                                ("wood_c__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="moisture_has_what_the_oven_gives",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("moisture_pct__gte", 0),
                            ("moisture_pct__lte", 200),
                            ("point__gte", 1),
                            ("point__lte", 9),
                        ),
                        name="moisture_can_be",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SpeciesCorrection",
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
                ("shown_pct", models.DecimalField(decimal_places=1, max_digits=4)),
                ("add_pct", models.DecimalField(decimal_places=1, max_digits=3)),
                (
                    "species",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrections",
                        to="lumber.species",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("species", "shown_pct"), name="correction_once_a_value"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("shown_pct__gte", 0),
                            ("shown_pct__lte", 60),
                            ("add_pct__gte", -9),
                            ("add_pct__lte", 9),
                        ),
                        name="correction_is_small",
                    ),
                ],
            },
        ),
    ]
