"""Let a decision be that a part is scrapped and made anew."""

from django.db import migrations, models

STAYS = ["USE_AS_IS", "DOWNGRADE"]
MOVES = ["REWORK", "SCRAP", "REPLACE"]
DECISIONS = ["USE_AS_IS", "REWORK", "DOWNGRADE", "SCRAP", "REPLACE"]


class Migration(migrations.Migration):
    dependencies = [
        ("floor", "0012_replace_and_wood"),
        ("quality", "0007_verifications"),
    ]

    operations = [
        migrations.RemoveConstraint("disposition", "disposition_has_a_reason"),
        migrations.RemoveConstraint(
            "disposition", "disposition_that_moves_names_its_event"
        ),
        migrations.AlterField(
            model_name="disposition",
            name="decision",
            field=models.CharField(
                choices=[(each, each) for each in DECISIONS], max_length=9
            ),
        ),
        migrations.AddConstraint(
            model_name="disposition",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("decision__in", DECISIONS), models.Q(("reason", ""), _negated=True)
                ),
                name="disposition_has_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="disposition",
            constraint=models.CheckConstraint(
                condition=models.Q(("decision__in", MOVES), ("event__isnull", False))
                | models.Q(("decision__in", STAYS), ("event__isnull", True)),
                name="disposition_that_moves_names_its_event",
            ),
        ),
    ]
