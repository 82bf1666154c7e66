"""Can a gauge judge its tolerance?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.orders.models import Part
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
    numbered from 1 for the study alone, by a mark or a card on each, or by their tags.
    It is closed by its last value, or called off.
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
    closed_at = models.DateTimeField(null=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    closed_because = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    closed_at__isnull=True, closed_by__isnull=True, closed_because=""
                )
                | Q(closed_at__gte=F("begun_at"), closed_by__isnull=False)
                & ~Q(closed_because=""),
                name="gauge_study_closed_says_who_and_why",
            ),
            models.CheckConstraint(
                condition=Q(parts__range=STUDY_PARTS)
                & Q(people__range=STUDY_PEOPLE)
                & Q(trials__range=STUDY_TRIALS),
                name="gauge_study_is_crossed",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pk} {self.gauge_id}"


class StudyPart(models.Model):
    """A part of the shop that lies in a study under a number."""

    study = models.ForeignKey(
        GaugeStudy, on_delete=models.PROTECT, related_name="tagged"
    )
    number = models.PositiveSmallIntegerField()
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["study", "number"], name="study_part_number_once"
            ),
            models.UniqueConstraint(fields=["study", "part"], name="study_part_once"),
            models.CheckConstraint(
                condition=Q(number__range=(1, STUDY_PARTS[1])),
                name="study_part_counts_from_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.study_id} {self.number}"


class StudyValue(models.Model):
    """What one person measured of one part, at one of the trials.

    It stays as it is; what was taken back keeps its row and counts no more.
    ``event_id`` is the press that sent it; the oldest values have none.
    """

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
    event_id = models.UUIDField(unique=True, null=True)
    taken_back_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["study", "person", "part", "trial"],
                condition=Q(taken_back_at__isnull=True),
                name="study_value_once",
            ),
            models.CheckConstraint(
                condition=Q(part__gte=1) & Q(trial__gte=1),
                name="study_value_counts_from_one",
            ),
            models.CheckConstraint(
                condition=Q(taken_back_at__isnull=True)
                | Q(taken_back_at__gte=F("measured_at")),
                name="study_value_taken_back_later",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.study_id} {self.part} {self.trial}"
