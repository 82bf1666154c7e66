"""Make the tables of this app."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("floor", "0003_where_events_come_from"),
        ("orders", "0002_index_open_instruments"),
        ("shop", "0002_tablets_and_sessions"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Latecomer",
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
                ("record_id", models.UUIDField(unique=True)),
                ("wish", models.CharField(blank=True, max_length=12)),
                ("claim", models.JSONField()),
                ("refusal", models.CharField(max_length=40)),
                ("words", models.JSONField(default=dict)),
                ("happened_at", models.DateTimeField(null=True)),
                ("came_at", models.DateTimeField()),
                ("seen_at", models.DateTimeField(null=True)),
                (
                    "event",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="latecomer",
                        to="floor.event",
                    ),
                ),
                (
                    "instrument",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="latecomers",
                        to="orders.instrument",
                    ),
                ),
                (
                    "person",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "seen_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "sent_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
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
                    "tablet",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="shop.tablet",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(
                        condition=models.Q(("seen_at__isnull", True)),
                        fields=["id"],
                        name="latecomer_open",
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("refusal", ""), _negated=True),
                        name="latecomer_says_why_it_was_refused",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("seen_at__isnull", True), ("seen_by__isnull", True)
                            ),
                            models.Q(
                                ("seen_at__isnull", False), ("seen_by__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="latecomer_seen_says_by_whom",
                    ),
                ],
            },
        ),
    ]
