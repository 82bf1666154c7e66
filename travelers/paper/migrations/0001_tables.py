"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("orders", "0001_tables"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Sheet",
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
                    "paper",
                    models.CharField(
                        choices=[
                            ("TRAVELER", "TRAVELER"),
                            ("TAGS", "TAGS"),
                            ("PIECE_LABELS", "PIECE_LABELS"),
                            ("STATION_CARD", "STATION_CARD"),
                        ],
                        max_length=12,
                    ),
                ),
                ("of", models.CharField(max_length=40)),
                ("copy", models.PositiveSmallIntegerField()),
                ("printed_at", models.DateTimeField()),
                (
                    "instrument",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sheets",
                        to="orders.instrument",
                    ),
                ),
                (
                    "printed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "paper__in",
                                ["TRAVELER", "TAGS", "PIECE_LABELS", "STATION_CARD"],
                            ),
                            ("copy__gte", 1),
                        ),
                        name="sheet_paper_known",
                    ),
                    models.UniqueConstraint(
                        fields=("paper", "of", "copy"), name="sheet_copy_once"
                    ),
                ],
            },
        ),
    ]
