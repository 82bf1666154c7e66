"""Keep which gauges were found bad, and until when each was known to be good."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0007_qualification_given"),
    ]

    operations = [
        migrations.AddField(
            model_name="gauge",
            name="bad_since",
            field=models.DateTimeField(editable=False, null=True),
        ),
        migrations.CreateModel(
            name="GaugeFault",
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
                ("good_until_on", models.DateField()),
                ("reason", models.CharField(max_length=200)),
                ("found_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(null=True)),
                (
                    "ended_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "found_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "gauge",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="faults",
                        to="shop.gauge",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("gauge",),
                        name="gauge_fault_one_stands",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="gauge_fault_has_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("ended_at__isnull", True), ("ended_by__isnull", True)
                            ),
                            models.Q(
                                ("ended_at__gte", models.F("found_at")),
                                ("ended_by__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="gauge_fault_ended_says_who_and_later",
                    ),
                ],
            },
        ),
    ]
