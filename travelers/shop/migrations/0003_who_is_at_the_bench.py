"""Make the tables of badges, PINs, invitations and qualifications."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("shop", "0002_tablets_and_sessions"),
    ]

    operations = [
        migrations.CreateModel(
            name="Badge",
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
                ("digest", models.CharField(max_length=64, unique=True)),
                ("issued_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="Invitation",
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
                ("digest", models.CharField(max_length=64, unique=True)),
                ("made_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("used_at", models.DateTimeField(blank=True, null=True)),
            ],
        ),
        migrations.CreateModel(
            name="NeedsQualification",
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
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("WORK", "WORK"),
                            ("HOLD", "HOLD"),
                            ("INSPECT", "INSPECT"),
                            ("JOIN", "JOIN"),
                        ],
                        max_length=7,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PinTry",
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
                ("number", models.CharField(max_length=4)),
                ("failures", models.PositiveSmallIntegerField()),
                ("last_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="Qualification",
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
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("WORK", "WORK"),
                            ("HOLD", "HOLD"),
                            ("INSPECT", "INSPECT"),
                            ("JOIN", "JOIN"),
                        ],
                        max_length=7,
                    ),
                ),
                ("until", models.DateField(blank=True, null=True)),
            ],
        ),
        migrations.AddField(
            model_name="person",
            name="number",
            field=models.CharField(blank=True, max_length=4, null=True, unique=True),
        ),
        migrations.AddField(
            model_name="person",
            name="pin",
            field=models.CharField(blank=True, default="", max_length=128),
        ),
        migrations.AddField(
            model_name="tablet",
            name="heard_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__regex", "^[0-9]{4}$")),
                name="person_number_has_four_digits",
            ),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("pin", ""), ("number__isnull", False), _connector="OR"
                ),
                name="person_pin_goes_with_a_number",
            ),
        ),
        migrations.AddField(
            model_name="badge",
            name="issued_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="badges_issued",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="badge",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="badges",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="badge",
            name="revoked_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="badges_revoked",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="invitation",
            name="made_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="invitations",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="invitation",
            name="station",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="invitations",
                to="shop.station",
            ),
        ),
        migrations.AddField(
            model_name="needsqualification",
            name="stage",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="needs",
                to="shop.stage",
            ),
        ),
        migrations.AddField(
            model_name="pintry",
            name="tablet",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="pin_tries",
                to="shop.tablet",
            ),
        ),
        migrations.AddField(
            model_name="qualification",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="qualifications",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="qualification",
            name="stage",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="qualifications",
                to="shop.stage",
            ),
        ),
        migrations.AddConstraint(
            model_name="badge",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("revoked_at__isnull", True), ("revoked_by__isnull", True)
                    ),
                    models.Q(
                        ("revoked_at__isnull", False), ("revoked_by__isnull", False)
                    ),
                    _connector="OR",
                ),
                name="badge_revoked_says_by_whom",
            ),
        ),
        migrations.AddConstraint(
            model_name="badge",
            constraint=models.UniqueConstraint(
                condition=models.Q(("revoked_at__isnull", True)),
                fields=("person",),
                name="badge_one_in_force",
            ),
        ),
        migrations.AddConstraint(
            model_name="invitation",
            constraint=models.CheckConstraint(
                condition=models.Q(("made_at__lt", models.F("ends_at"))),
                name="invitation_made_before_it_ends",
            ),
        ),
        migrations.AddConstraint(
            model_name="needsqualification",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["WORK", "HOLD", "INSPECT", "JOIN"])),
                name="needs_qualification_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="needsqualification",
            constraint=models.UniqueConstraint(
                fields=("stage", "kind"), name="needs_qualification_said_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="pintry",
            constraint=models.UniqueConstraint(
                fields=("tablet", "number"), name="pin_try_counted_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="qualification",
            constraint=models.CheckConstraint(
                condition=models.Q(("kind__in", ["WORK", "HOLD", "INSPECT", "JOIN"])),
                name="qualification_kind_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="qualification",
            constraint=models.UniqueConstraint(
                fields=("person", "stage", "kind"), name="qualification_said_once"
            ),
        ),
    ]
