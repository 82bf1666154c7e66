"""Trace and contain batches, and trace bought pieces and cutters."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("floor", "0010_uses_only_grow"),
        ("lumber", "0008_holds"),
        ("orders", "0002_index_open_instruments"),
        ("quality", "0005_gauge_studies"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="contained",
            name="contained_is_one_thing",
        ),
        migrations.RemoveConstraint(
            model_name="containment",
            name="containment_kind_known",
        ),
        migrations.AddField(
            model_name="contained",
            name="batch",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="floor.batch",
            ),
        ),
        migrations.AlterField(
            model_name="containment",
            name="kind",
            field=models.CharField(
                choices=[
                    ("DELIVERY", "DELIVERY"),
                    ("PLANK", "PLANK"),
                    ("PLANK_SET", "PLANK_SET"),
                    ("LOAD", "LOAD"),
                    ("GAUGE", "GAUGE"),
                    ("BATCH", "BATCH"),
                    ("SERIAL", "SERIAL"),
                    ("CUTTER", "CUTTER"),
                    ("STATION_DAY", "STATION_DAY"),
                    ("DEFECT", "DEFECT"),
                    ("PART", "PART"),
                    ("INSTRUMENT", "INSTRUMENT"),
                ],
                max_length=11,
            ),
        ),
        migrations.AddConstraint(
            model_name="contained",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("batch__isnull", True),
                        ("hold_id__isnull", False),
                        ("part__isnull", False),
                        ("plank__isnull", True),
                        ("plank_set__isnull", True),
                    ),
                    models.Q(
                        ("batch__isnull", True),
                        ("hold_id__isnull", True),
                        ("part__isnull", True),
                        ("plank__isnull", True),
                        ("plank_set__isnull", False),
                    ),
                    models.Q(
                        ("batch__isnull", True),
                        ("hold_id__isnull", True),
                        ("part__isnull", True),
                        ("plank__isnull", False),
                        ("plank_set__isnull", True),
                    ),
                    models.Q(
                        ("batch__isnull", False),
                        ("hold_id__isnull", False),
                        ("part__isnull", True),
                        ("plank__isnull", True),
                        ("plank_set__isnull", True),
                    ),
                    _connector="OR",
                ),
                name="contained_is_one_thing",
            ),
        ),
        migrations.AddConstraint(
            model_name="contained",
            constraint=models.UniqueConstraint(
                fields=("containment", "batch"), name="contained_batch_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="containment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    (
                        "kind__in",
                        [
                            "DELIVERY",
                            "PLANK",
                            "PLANK_SET",
                            "LOAD",
                            "GAUGE",
                            "BATCH",
                            "SERIAL",
                            "CUTTER",
                            "STATION_DAY",
                            "DEFECT",
                            "PART",
                            "INSTRUMENT",
                        ],
                    )
                ),
                name="containment_kind_known",
            ),
        ),
    ]
