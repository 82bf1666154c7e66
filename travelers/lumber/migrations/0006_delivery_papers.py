"""Keep the papers of a delivery as files."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lumber", "0005_plank_doubts"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="DeliveryPaper",
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
                ("title", models.CharField(max_length=60)),
                (
                    "kind",
                    models.CharField(
                        choices=[("PDF", "PDF"), ("JPEG", "JPEG")], max_length=4
                    ),
                ),
                ("name", models.CharField(max_length=40, unique=True)),
                ("sha256", models.CharField(max_length=64)),
                ("size", models.PositiveIntegerField()),
                ("added_at", models.DateTimeField()),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "delivery",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="files",
                        to="lumber.delivery",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="deliverypaper",
            constraint=models.UniqueConstraint(
                fields=("delivery", "number"), name="delivery_paper_once_a_number"
            ),
        ),
        migrations.AddConstraint(
            model_name="deliverypaper",
            constraint=models.UniqueConstraint(
                fields=("delivery", "sha256"), name="delivery_paper_once_a_content"
            ),
        ),
        migrations.AddConstraint(
            model_name="deliverypaper",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["PDF", "JPEG"])),
                name="delivery_paper_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="deliverypaper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("number__gte", 1),
                    ("number__lte", 30),
                    ("size__gt", 0),
                    models.Q(("name", ""), _negated=True),
                ),
                name="delivery_paper_is_there",
            ),
        ),
    ]
