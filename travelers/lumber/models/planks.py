"""Which wood came in, and which pieces were cut from which plank?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, millimetres, one_of
from travelers.lumber.rules import Purpose
from travelers.lumber.rules.density import HEAVIEST_GRAVITY, LIGHTEST_GRAVITY


class Species(models.Model):
    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    latin = models.CharField(max_length=60)
    trade_controlled = models.BooleanField(default=False)
    # As the tables of shared/ name it; empty where they do not know the wood.
    handbook_name = models.CharField(max_length=40, blank=True, default="")
    # Oven-dry mass by volume at 12 % moisture, where the shop knows better.
    gravity_at_12_ratio = models.DecimalField(
        max_digits=3, decimal_places=2, null=True, blank=True
    )

    class Meta:
        verbose_name_plural = "species"
        constraints = [
            models.CheckConstraint(
                condition=Q(gravity_at_12_ratio__isnull=True)
                | Q(
                    gravity_at_12_ratio__gte=LIGHTEST_GRAVITY,
                    gravity_at_12_ratio__lte=HEAVIEST_GRAVITY,
                ),
                name="species_gravity_is_of_wood",
            )
        ]

    def __str__(self) -> str:
        return self.code


class Supplier(models.Model):
    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=60)

    def __str__(self) -> str:
        return self.code


class Delivery(models.Model):
    """Planks of one species that one supplier brought on one day."""

    number = models.CharField(max_length=20, unique=True)
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, related_name="deliveries"
    )
    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, related_name="deliveries"
    )
    received_on = models.DateField()
    papers = models.CharField(max_length=200, blank=True)
    trade_papers = models.CharField(max_length=200, blank=True)

    class Meta:
        verbose_name_plural = "deliveries"
        constraints = [
            models.CheckConstraint(condition=~Q(number=""), name="delivery_has_number")
        ]

    def __str__(self) -> str:
        return self.number


class Plank(models.Model):
    number = models.CharField(max_length=24, unique=True)
    code = models.CharField(max_length=8, unique=True)
    delivery = models.ForeignKey(
        Delivery, on_delete=models.PROTECT, related_name="planks"
    )
    length_mm = millimetres()
    width_mm = millimetres()
    thickness_mm = millimetres()
    mass_g = models.PositiveIntegerField()
    # Who looked again at a density that its species does not have, and let it be.
    looked_at_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
    )
    # While QA holds it nothing is cut from it.
    held_since = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, thickness_mm__gt=0)
                & Q(mass_g__gt=0),
                name="plank_has_size_and_mass",
            )
        ]

    def __str__(self) -> str:
        return self.number


class PlankSet(models.Model):
    """Pieces of one plank that stay together; a set of two planks cannot be written."""

    number = models.CharField(max_length=28, unique=True)
    code = models.CharField(max_length=8, unique=True)
    plank = models.ForeignKey(Plank, on_delete=models.PROTECT, related_name="sets")
    purpose = choice(Purpose)
    cut_on = models.DateField()
    # While QA holds it no order gets it.
    held_since = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Purpose, "purpose"), name="plank_set_purpose_known"
            )
        ]

    def __str__(self) -> str:
        return self.number


class Piece(models.Model):
    """One piece of wood; its plank is its set's plank and cannot differ."""

    plank_set = models.ForeignKey(
        PlankSet, on_delete=models.PROTECT, related_name="pieces"
    )
    letter = models.CharField(max_length=1)
    code = models.CharField(max_length=8, unique=True)
    length_mm = millimetres()
    width_mm = millimetres()
    thickness_mm = millimetres()
    mass_g = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["plank_set", "letter"], name="piece_letter_once_a_set"
            ),
            models.CheckConstraint(
                condition=Q(letter__regex=r"^[A-Z]$"), name="piece_letter_is_a_letter"
            ),
            models.CheckConstraint(
                condition=Q(length_mm__gt=0, width_mm__gt=0, thickness_mm__gt=0)
                & (Q(mass_g__isnull=True) | Q(mass_g__gt=0)),
                name="piece_has_size",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.plank_set_id}-{self.letter}"
