"""With which gauges is measured, and which numbers were given out?"""

from django.db import models
from django.db.models import F, Q


class Gauge(models.Model):
    """A measuring instrument; ISO 10012 calls its check metrological confirmation."""

    tag = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=30)
    unit = models.CharField(max_length=12)
    resolution = models.DecimalField(max_digits=9, decimal_places=4)
    calibrated_on = models.DateField()
    due_on = models.DateField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(calibrated_on__lt=F("due_on")),
                name="gauge_calibrated_before_due",
            ),
            models.CheckConstraint(
                condition=Q(resolution__gt=0), name="gauge_resolution_positive"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Counter(models.Model):
    """The last number given out of each series, so that numbers never repeat."""

    series = models.CharField(max_length=12, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series} {self.last}"
