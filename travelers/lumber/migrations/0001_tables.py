"""Make the tables of this app."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Delivery",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("number", models.CharField(max_length=20, unique=True)),
                ("received_on", models.DateField()),
                ("papers", models.CharField(blank=True, max_length=200)),
                ("trade_papers", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "verbose_name_plural": "deliveries",
            },
        ),
        migrations.CreateModel(
            name="Species",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("code", models.CharField(max_length=12, unique=True)),
                ("name", models.CharField(max_length=40)),
                ("latin", models.CharField(max_length=60)),
                ("trade_controlled", models.BooleanField(default=False)),
            ],
            options={
                "verbose_name_plural": "species",
            },
        ),
        migrations.CreateModel(
            name="Supplier",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("code", models.CharField(max_length=12, unique=True)),
                ("name", models.CharField(max_length=60)),
            ],
        ),
        migrations.CreateModel(
            name="Plank",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("number", models.CharField(max_length=24, unique=True)),
                ("code", models.CharField(max_length=8, unique=True)),
                ("length_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("width_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("thickness_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("mass_g", models.PositiveIntegerField()),
                (
                    "delivery",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="planks",
                        to="lumber.delivery",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PlankSet",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("number", models.CharField(max_length=28, unique=True)),
                ("code", models.CharField(max_length=8, unique=True)),
                (
                    "purpose",
                    models.CharField(
                        choices=[("BODY", "BODY"), ("NECK", "NECK")], max_length=4
                    ),
                ),
                ("cut_on", models.DateField()),
                (
                    "plank",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sets",
                        to="lumber.plank",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Piece",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("letter", models.CharField(max_length=1)),
                ("code", models.CharField(max_length=8, unique=True)),
                ("length_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("width_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("thickness_mm", models.DecimalField(decimal_places=2, max_digits=8)),
                ("mass_g", models.PositiveIntegerField(blank=True, null=True)),
                (
                    "plank_set",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pieces",
                        to="lumber.plankset",
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="delivery",
            name="species",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="deliveries",
                to="lumber.species",
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="supplier",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="deliveries",
                to="lumber.supplier",
            ),
        ),
        migrations.AddConstraint(
            model_name="plank",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("length_mm__gt", 0),
                    ("thickness_mm__gt", 0),
                    ("width_mm__gt", 0),
                    ("mass_g__gt", 0),
                ),
                name="plank_has_size_and_mass",
            ),
        ),
        migrations.AddConstraint(
            model_name="plankset",
            constraint=models.CheckConstraint(
                condition=models.Q(("purpose__in", ["BODY", "NECK"])),
                name="plank_set_purpose_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="piece",
            constraint=models.UniqueConstraint(
                fields=("plank_set", "letter"), name="piece_letter_once_a_set"
            ),
        ),
        migrations.AddConstraint(
            model_name="piece",
            constraint=models.CheckConstraint(
                condition=models.Q(("letter__regex", "^[A-Z]$")),
                name="piece_letter_is_a_letter",
            ),
        ),
        migrations.AddConstraint(
            model_name="piece",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("length_mm__gt", 0),
                    ("thickness_mm__gt", 0),
                    ("width_mm__gt", 0),
                    models.Q(
                        ("mass_g__isnull", True), ("mass_g__gt", 0), _connector="OR"
                    ),
                ),
                name="piece_has_size",
            ),
        ),
        migrations.AddConstraint(
            model_name="delivery",
            constraint=models.CheckConstraint(
                condition=models.Q(("number", ""), _negated=True),
                name="delivery_has_number",
            ),
        ),
    ]
