"""Say which cutter runs at which head, and since when."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0005_workshop_air"),
    ]

    operations = [
        migrations.CreateModel(
            name="Cutter",
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
                ("head", models.CharField(max_length=20)),
                ("number", models.CharField(max_length=20)),
                ("life_parts", models.PositiveIntegerField()),
                ("mounted_at", models.DateTimeField()),
                ("taken_off_at", models.DateTimeField(null=True)),
                (
                    "mounted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "station",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cutters",
                        to="shop.station",
                    ),
                ),
                (
                    "taken_off_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        fields=["station", "mounted_at"], name="cutter_of_station"
                    )
                ],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("taken_off_at__isnull", True)),
                        fields=("station", "head"),
                        name="cutter_one_at_a_head",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("head", ""), _negated=True),
                            models.Q(("number", ""), _negated=True),
                            ("life_parts__gte", 1),
                        ),
                        name="cutter_has_head_number_and_life",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("taken_off_at__isnull", True),
                                ("taken_off_by__isnull", True),
                            ),
                            models.Q(
                                ("taken_off_at__gt", models.F("mounted_at")),
                                ("taken_off_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="cutter_taken_off_says_who_and_later",
                    ),
                ],
            },
        ),
    ]
