"""Can a gauge judge its tolerance?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.quality.rules import (
    STUDY_PARTS,
    STUDY_PEOPLE,
    STUDY_TRIALS,
)
from travelers.routes.models import Characteristic
from travelers.shop.models import Gauge


class GaugeStudy(models.Model):
    """Several people measure the same parts again and again with one gauge.

    The tolerance that the gauge must judge is that of a characteristic. Parts are
    numbered from 1 for the study alone, by a mark on each.
    """

    gauge = models.ForeignKey(Gauge, on_delete=models.PROTECT, related_name="studies")
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="+"
    )
    parts = models.PositiveSmallIntegerField()
    people = models.PositiveSmallIntegerField()
    trials = models.PositiveSmallIntegerField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    begun_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(parts__range=STUDY_PARTS)
                & Q(people__range=STUDY_PEOPLE)
                & Q(trials__range=STUDY_TRIALS),
                name="gauge_study_is_crossed",
            )
        ]

    def __str__(self) -> str:
        return f"{self.pk} {self.gauge_id}"


class StudyValue(models.Model):
    """What one person measured of one part, at one of the trials; never changed."""

    study = models.ForeignKey(
        GaugeStudy, on_delete=models.PROTECT, related_name="values"
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    part = models.PositiveSmallIntegerField()
    trial = models.PositiveSmallIntegerField()
    value = models.DecimalField(max_digits=14, decimal_places=4)
    measured_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["study", "person", "part", "trial"],
                name="study_value_once",
            ),
            models.CheckConstraint(
                condition=Q(part__gte=1) & Q(trial__gte=1),
                name="study_value_counts_from_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.study_id} {self.part} {self.trial}"
