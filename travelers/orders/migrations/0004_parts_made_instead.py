"""Let a part be scrapped and made anew of other wood, beside the one before."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("lumber", "0008_holds"),
        ("orders", "0003_index_closed_instruments"),
        ("shop", "0007_qualification_given"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="allotment",
            name="allotment_once_a_place",
        ),
        migrations.RemoveConstraint(
            model_name="part",
            name="part_once_a_branch",
        ),
        migrations.AddField(
            model_name="allotment",
            name="turn",
            field=models.PositiveSmallIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="part",
            name="instead_of",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="made_instead",
                to="orders.part",
            ),
        ),
        migrations.AddField(
            model_name="part",
            name="scrapped_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="part",
            name="wants_wood",
            field=models.BooleanField(default=False),
        ),
        migrations.AddIndex(
            model_name="part",
            index=models.Index(
                condition=models.Q(("wants_wood", True)),
                fields=["instrument"],
                name="part_that_wants_wood",
            ),
        ),
        migrations.AddConstraint(
            model_name="allotment",
            constraint=models.UniqueConstraint(
                fields=("order", "branch", "position", "turn"),
                name="allotment_once_a_place_and_turn",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.UniqueConstraint(
                condition=models.Q(("scrapped_at__isnull", True)),
                fields=("instrument", "branch"),
                name="part_in_use_once_a_branch",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("scrapped_at__isnull", True),
                    ("stage__isnull", True),
                    _connector="OR",
                ),
                name="part_scrapped_is_nowhere",
            ),
        ),
        migrations.AddConstraint(
            model_name="part",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("wants_wood", False), ("plank_set__isnull", True), _connector="OR"
                ),
                name="part_wants_wood_or_has_it",
            ),
        ),
    ]
