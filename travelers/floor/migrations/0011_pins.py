"""Keep what a planner put first: its place, its reason and its end."""

import django.db.models.deletion
import django.db.models.functions.comparison
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("floor", "0010_uses_only_grow"),
        ("orders", "0003_index_closed_instruments"),
        ("shop", "0007_qualification_given"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Pin",
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
                ("reason", models.CharField(max_length=80)),
                ("until_on", models.DateField()),
                ("pinned_at", models.DateTimeField()),
                ("lifted_at", models.DateTimeField(null=True)),
                (
                    "instrument",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pins",
                        to="orders.instrument",
                    ),
                ),
                (
                    "lifted_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pins",
                        to="orders.part",
                    ),
                ),
                (
                    "pinned_by",
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
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.station",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("lifted_at__isnull", True)),
                        fields=["instrument"],
                        name="pin_open_of_instrument",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="pin_has_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("lifted_at__isnull", True), ("lifted_by__isnull", True)
                            ),
                            models.Q(
                                ("lifted_at__isnull", False),
                                ("lifted_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="pin_lifted_says_who",
                    ),
                    models.UniqueConstraint(
                        models.F("instrument"),
                        django.db.models.functions.comparison.Coalesce("part", 0),
                        django.db.models.functions.comparison.Coalesce("station", 0),
                        condition=models.Q(("lifted_at__isnull", True)),
                        name="pin_open_once",
                    ),
                ],
            },
        ),
    ]
