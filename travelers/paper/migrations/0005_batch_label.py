"""Count the printed labels of batches."""

from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("orders", "0002_index_open_instruments"),
        ("paper", "0004_build_record"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="sheet",
            name="sheet_paper_known",
        ),
        migrations.AlterField(
            model_name="sheet",
            name="paper",
            field=models.CharField(
                choices=[
                    ("TRAVELER", "TRAVELER"),
                    ("TAGS", "TAGS"),
                    ("PIECE_LABELS", "PIECE_LABELS"),
                    ("PLANK_LABELS", "PLANK_LABELS"),
                    ("BATCH_LABEL", "BATCH_LABEL"),
                    ("STATION_CARD", "STATION_CARD"),
                    ("COMMANDS", "COMMANDS"),
                    ("LOAD_SHEET", "LOAD_SHEET"),
                    ("BUILD_RECORD", "BUILD_RECORD"),
                ],
                max_length=12,
            ),
        ),
        migrations.AddConstraint(
            model_name="sheet",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "paper__in",
                        [
                            "TRAVELER",
                            "TAGS",
                            "PIECE_LABELS",
                            "PLANK_LABELS",
                            "BATCH_LABEL",
                            "STATION_CARD",
                            "COMMANDS",
                            "LOAD_SHEET",
                            "BUILD_RECORD",
                        ],
                    ),
                    ("copy__gte", 1),
                ),
                name="sheet_paper_known",
            ),
        ),
    ]
