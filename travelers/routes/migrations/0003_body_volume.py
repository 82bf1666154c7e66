"""Say how large a finished body is, and how heavy it may be."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("routes", "0002_released_never_changes"),
    ]

    operations = [
        migrations.AddField(
            model_name="instrumentmodel",
            name="body_volume_cm3",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="instrumentmodel",
            name="heaviest_body_g",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name="instrumentmodel",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("body_volume_cm3__isnull", True),
                        ("body_volume_cm3__gt", 0),
                        _connector="OR",
                    ),
                    models.Q(
                        ("heaviest_body_g__isnull", True),
                        ("heaviest_body_g__gt", 0),
                        _connector="OR",
                    ),
                ),
                name="model_body_is_something",
            ),
        ),
    ]
