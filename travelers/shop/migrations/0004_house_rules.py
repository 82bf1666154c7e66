"""Make the table of what this shop has decided for itself."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0003_who_is_at_the_bench"),
    ]

    operations = [
        migrations.CreateModel(
            name="HouseRules",
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
                    "overdue_gauges",
                    models.CharField(
                        choices=[("REFUSE", "REFUSE"), ("MARK", "MARK")],
                        default="REFUSE",
                        max_length=6,
                    ),
                ),
                ("changed_at", models.DateTimeField()),
                (
                    "changed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "house rules",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="house_rules_are_one_row"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("overdue_gauges__in", ["REFUSE", "MARK"])),
                        name="house_rules_overdue_gauges_known",
                    ),
                ],
            },
        ),
    ]
