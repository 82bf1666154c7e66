"""Say who gave a qualification, and when."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0006_cutters"),
    ]

    operations = [
        migrations.AddField(
            model_name="qualification",
            name="given_at",
            field=models.DateTimeField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name="qualification",
            name="given_by",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="qualifications_given",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="qualification",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("given_at__isnull", True), ("given_by__isnull", True)),
                    models.Q(("given_at__isnull", False), ("given_by__isnull", False)),
                    _connector="OR",
                ),
                name="qualification_given_says_by_whom",
            ),
        ),
    ]
