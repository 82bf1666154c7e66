"""Let a shop say how heavy a species is, where the tables do not know it."""

from decimal import Decimal

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("lumber", "0003_moisture_readings")]

    operations = [
        migrations.AddField(
            model_name="species",
            name="gravity_at_12_ratio",
            field=models.DecimalField(
                blank=True, decimal_places=2, max_digits=3, null=True
            ),
        ),
        migrations.AddConstraint(
            model_name="species",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("gravity_at_12_ratio__isnull", True),
                    models.Q(
                        ("gravity_at_12_ratio__gte", Decimal("0.10")),
                        ("gravity_at_12_ratio__lte", Decimal("1.40")),
                    ),
                    _connector="OR",
                ),
                name="species_gravity_is_of_wood",
            ),
        ),
    ]
