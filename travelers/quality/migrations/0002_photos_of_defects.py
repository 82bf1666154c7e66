"""Make the table of the photos of defects."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("quality", "0001_tables"),
    ]

    operations = [
        migrations.CreateModel(
            name="DefectPhoto",
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
                ("number", models.PositiveSmallIntegerField()),
                ("name", models.CharField(blank=True, max_length=40)),
                ("sha256", models.CharField(max_length=64)),
                ("size", models.PositiveIntegerField()),
                ("width", models.PositiveSmallIntegerField()),
                ("height", models.PositiveSmallIntegerField()),
                (
                    "defect",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="quality.defect",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(
                        fields=("defect", "number"),
                        name="defect_photo_once_a_number",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        fields=("name",),
                        name="defect_photo_has_its_own_file",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("number__gte", 1), ("number__lte", 3)),
                        name="defect_photo_one_of_three",
                    ),
                ],
            },
        ),
    ]
