"""Say in which air dry wood lies in the workshop."""

from decimal import Decimal

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0004_house_rules"),
    ]

    operations = [
        migrations.AddField(
            model_name="houserules",
            name="workshop_c",
            field=models.DecimalField(
                decimal_places=1, default=Decimal("20"), max_digits=3
            ),
        ),
        migrations.AddField(
            model_name="houserules",
            name="workshop_pct",
            field=models.DecimalField(
                decimal_places=1, default=Decimal("50"), max_digits=3
            ),
        ),
        migrations.AddConstraint(
            model_name="houserules",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("workshop_c__gte", 5),
                    ("workshop_c__lte", 40),
                    ("workshop_pct__gte", 5),
                    ("workshop_pct__lte", 95),
                ),
                name="house_rules_workshop_air_can_be",
            ),
        ),
    ]
