"""Find the instruments that were finished lately without reading those of all years."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0002_index_open_instruments")]
    operations = [
        migrations.AddIndex(
            model_name="instrument",
            index=models.Index(
                condition=models.Q(("closed_at__isnull", False)),
                fields=["closed_at"],
                name="instrument_closed_by_time",
            ),
        ),
    ]
