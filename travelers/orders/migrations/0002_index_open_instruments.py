"""Find the orders that are on the floor without reading those of all years."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0001_tables")]
    operations = [
        migrations.AddIndex(
            model_name="instrument",
            index=models.Index(
                condition=models.Q(("state", "OPEN")),
                fields=["order"],
                name="instrument_open_of_order",
            ),
        ),
    ]
