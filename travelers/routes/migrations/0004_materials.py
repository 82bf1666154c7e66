"""Say which materials operations use, and how each is traced."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("routes", "0003_body_volume"),
    ]

    operations = [
        migrations.CreateModel(
            name="Material",
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
                ("name", models.CharField(max_length=40, unique=True)),
                (
                    "traced",
                    models.CharField(
                        choices=[("BATCH", "BATCH"), ("SERIAL", "SERIAL")], max_length=6
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("traced__in", ["BATCH", "SERIAL"])),
                        name="material_traced_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("code__regex", "^[0-9A-Z_-]{2,12}$")),
                        name="material_code_goes_into_an_address",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MaterialNeed",
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
                ("pieces", models.PositiveSmallIntegerField(default=1)),
                (
                    "material",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="needs",
                        to="routes.material",
                    ),
                ),
                (
                    "operation",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="needs",
                        to="routes.operation",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("operation", "material"), name="need_once_an_operation"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("pieces__gte", 1), ("pieces__lte", 12)),
                        name="need_has_pieces",
                    ),
                ],
            },
        ),
    ]
