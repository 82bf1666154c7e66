"""With which gauges is measured, and which numbers were given out?"""

from django.db import models
from django.db.models import F, Q

from travelers.shop.models.people import Person


class Gauge(models.Model):
    """A measuring instrument; ISO 10012 calls its check metrological confirmation.

    ``bad_since`` repeats when the fault that stands was found, so that a bench asks for
    nothing more.
    """

    tag = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=30)
    unit = models.CharField(max_length=12)
    resolution = models.DecimalField(max_digits=9, decimal_places=4)
    calibrated_on = models.DateField()
    due_on = models.DateField()
    bad_since = models.DateTimeField(null=True, editable=False)

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


class GaugeFault(models.Model):
    """A gauge was found bad; until a day it was known to be good.

    It ends with the next calibration that finds it good.
    """

    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, related_name="faults")
    good_until_on = models.DateField()
    reason = models.CharField(max_length=200)
    found_at = models.DateTimeField()
    found_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True)
    ended_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="+", null=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["gauge"],
                condition=Q(ended_at__isnull=True),
                name="gauge_fault_one_stands",
            ),
            models.CheckConstraint(
                condition=~Q(reason=""), name="gauge_fault_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ended_by__isnull=True)
                | Q(ended_at__gte=F("found_at"), ended_by__isnull=False),
                name="gauge_fault_ended_says_who_and_later",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.gauge_id} {self.found_at:%Y-%m-%d}"


class Counter(models.Model):
    """The last number given out of each series, so that numbers never repeat."""

    series = models.CharField(max_length=12, unique=True)
    last = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series} {self.last}"
