"""Where is work done, and in which hours?"""

from django.db import models
from django.db.models import F, Q


class Stage(models.Model):
    """One stretch of the way from plank to test play; a fret on the board."""

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    position = models.PositiveSmallIntegerField(unique=True)

    def __str__(self) -> str:
        return self.code


class Shift(models.Model):
    """The hours in which attended stations work; days are ISO weekdays, 1 = Monday."""

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=40)
    weekdays = models.CharField(max_length=7)
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(starts__lt=F("ends")), name="shift_starts_before_it_ends"
            ),
            models.CheckConstraint(
                condition=Q(weekdays__regex=r"^[1-7]{1,7}$"), name="shift_has_weekdays"
            ),
        ]

    def __str__(self) -> str:
        return self.code


class ClosedDay(models.Model):
    day = models.DateField(unique=True)
    reason = models.CharField(max_length=80)

    def __str__(self) -> str:
        return self.day.isoformat()


class Station(models.Model):
    """A place where parts are worked on (attended) or lie (holding)."""

    code = models.CharField(max_length=12, unique=True)
    tag = models.CharField(max_length=8, unique=True)
    name = models.CharField(max_length=60)
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="stations")
    attended = models.BooleanField()
    places = models.PositiveSmallIntegerField()
    shift = models.ForeignKey(
        Shift, on_delete=models.PROTECT, related_name="stations", null=True, blank=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(places__gte=1), name="station_has_a_place"
            ),
            models.CheckConstraint(
                condition=Q(attended=False) | Q(shift__isnull=False),
                name="station_attended_has_a_shift",
            ),
        ]

    def __str__(self) -> str:
        return self.code
