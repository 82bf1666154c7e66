"""How wet was the wood, and how is a meter corrected?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.kit.fields import choice, one_of
from travelers.lumber.models.planks import Piece, Species
from travelers.lumber.rules.moisture import Method


class SpeciesCorrection(models.Model):
    """What is added to what a meter shows in a species; between rows a straight line.

    The shop maintains it, from its meter's manual or from samples dried in an oven.
    """

    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, related_name="corrections"
    )
    shown_pct = models.DecimalField(max_digits=4, decimal_places=1)
    add_pct = models.DecimalField(max_digits=3, decimal_places=1)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["species", "shown_pct"], name="correction_once_a_value"
            ),
            models.CheckConstraint(
                condition=Q(shown_pct__gte=0, shown_pct__lte=60)
                & Q(add_pct__gte=-9, add_pct__lte=9),
                name="correction_is_small",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.species_id} {self.shown_pct}: {self.add_pct:+}"


class MoistureReading(models.Model):
    """The moisture of a piece at one of its points; the set is the piece's set.

    By meter: what it showed, with which gauge, and how warm the wood was unless the
    meter reckons with it. By oven: what a sample of the piece weighed, wet and dry.
    """

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="moistures")
    point = models.PositiveSmallIntegerField(default=1)
    read_at = models.DateTimeField()
    method = choice(Method)
    gauge = models.ForeignKey(
        "shop.Gauge",
        on_delete=models.PROTECT,
        related_name="moistures",
        null=True,
        blank=True,
    )
    in_calibration = models.BooleanField(null=True, blank=True)
    shown_pct = models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True
    )
    wood_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    wet_mass_g = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True
    )
    dry_mass_g = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True
    )
    moisture_pct = models.DecimalField(max_digits=5, decimal_places=2)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["piece", "point", "read_at"], name="moisture_once_a_moment"
            ),
            models.CheckConstraint(
                condition=one_of(Method, "method"), name="moisture_method_known"
            ),
            models.CheckConstraint(
                condition=~Q(method=Method.METER)
                | Q(
                    shown_pct__isnull=False,
                    gauge__isnull=False,
                    in_calibration__isnull=False,
                    wet_mass_g__isnull=True,
                    dry_mass_g__isnull=True,
                ),
                name="moisture_has_what_a_meter_gives",
            ),
            models.CheckConstraint(
                condition=~Q(method=Method.OVEN)
                | Q(
                    shown_pct__isnull=True,
                    wood_c__isnull=True,
                    # A check whose answer is unknown lets the row pass.
                    wet_mass_g__isnull=False,
                    dry_mass_g__isnull=False,
                    dry_mass_g__gt=0,
                    wet_mass_g__gte=F("dry_mass_g"),
                ),
                name="moisture_has_what_the_oven_gives",
            ),
            models.CheckConstraint(
                condition=Q(moisture_pct__gte=0, moisture_pct__lte=200)
                & Q(point__gte=1, point__lte=9),
                name="moisture_can_be",
            ),
        ]
        indexes = [
            models.Index(fields=["piece", "-read_at"], name="moisture_of_piece_newest")
        ]

    def __str__(self) -> str:
        return f"{self.piece_id}.{self.point} {self.read_at.isoformat()}"
