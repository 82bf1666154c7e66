"""Name the rooms for wood, and what their air was."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lumber", "0001_tables"),
        ("shop", "0004_house_rules"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Room",
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
                ("limit_pct", models.DecimalField(decimal_places=1, max_digits=3)),
                (
                    "station",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="room",
                        to="shop.station",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="RoomReading",
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
                ("read_at", models.DateTimeField()),
                ("temperature_c", models.DecimalField(decimal_places=1, max_digits=4)),
                ("humidity_pct", models.DecimalField(decimal_places=1, max_digits=4)),
                (
                    "told",
                    models.CharField(
                        choices=[
                            ("BY_HAND", "BY_HAND"),
                            ("BY_FILE", "BY_FILE"),
                            ("BY_LOGGER", "BY_LOGGER"),
                        ],
                        max_length=9,
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "room",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="readings",
                        to="lumber.room",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="room",
            constraint=models.CheckConstraint(
                condition=models.Q(("limit_pct__gte", 3), ("limit_pct__lte", 20)),
                name="room_limit_is_of_dry_wood",
            ),
        ),
        migrations.AddConstraint(
            model_name="roomreading",
            constraint=models.UniqueConstraint(
                fields=("room", "read_at"), name="room_reading_once_a_moment"
            ),
        ),
        migrations.AddConstraint(
            model_name="roomreading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("temperature_c__gte", -20), ("temperature_c__lte", 80)
                ),
                name="room_reading_temperature_can_be",
            ),
        ),
        migrations.AddConstraint(
            model_name="roomreading",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("humidity_pct__gte", 0), ("humidity_pct__lte", 100)
                ),
                name="room_reading_humidity_can_be",
            ),
        ),
        migrations.AddConstraint(
            model_name="roomreading",
            constraint=models.CheckConstraint(
                condition=models.Q(("told__in", ["BY_HAND", "BY_FILE", "BY_LOGGER"])),
                name="room_reading_told_known",
            ),
        ),
    ]
