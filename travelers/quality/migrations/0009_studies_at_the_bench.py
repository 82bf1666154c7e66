"""Let a study be measured at a bench: parts by their tags, values that go back."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("orders", "0004_parts_made_instead"),
        ("quality", "0008_parts_made_anew"),
        ("routes", "0005_materials_stay"),
        ("shop", "0008_gauges_found_bad"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="StudyPart",
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
            ],
        ),
        migrations.RemoveConstraint(
            model_name="studyvalue",
            name="study_value_once",
        ),
        migrations.AddField(
            model_name="gaugestudy",
            name="closed_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="gaugestudy",
            name="closed_because",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name="gaugestudy",
            name="closed_by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="studyvalue",
            name="event_id",
            field=models.UUIDField(null=True, unique=True),
        ),
        migrations.AddField(
            model_name="studyvalue",
            name="taken_back_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddConstraint(
            model_name="gaugestudy",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("closed_at__isnull", True),
                        ("closed_because", ""),
                        ("closed_by__isnull", True),
                    ),
                    models.Q(
                        ("closed_at__gte", models.F("begun_at")),
                        ("closed_by__isnull", False),
                        models.Q(("closed_because", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="gauge_study_closed_says_who_and_why",
            ),
        ),
        migrations.AddConstraint(
            model_name="studyvalue",
            constraint=models.UniqueConstraint(
                condition=models.Q(("taken_back_at__isnull", True)),
                fields=("study", "person", "part", "trial"),
                name="study_value_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="studyvalue",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("taken_back_at__isnull", True),
                    ("taken_back_at__gte", models.F("measured_at")),
                    _connector="OR",
                ),
                name="study_value_taken_back_later",
            ),
        ),
        migrations.AddField(
            model_name="studypart",
            name="part",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="orders.part",
            ),
        ),
        migrations.AddField(
            model_name="studypart",
            name="study",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="tagged",
                to="quality.gaugestudy",
            ),
        ),
        migrations.AddConstraint(
            model_name="studypart",
            constraint=models.UniqueConstraint(
                fields=("study", "number"), name="study_part_number_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="studypart",
            constraint=models.UniqueConstraint(
                fields=("study", "part"), name="study_part_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="studypart",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__range", (1, 30))),
                name="study_part_counts_from_one",
            ),
        ),
    ]
