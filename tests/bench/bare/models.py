"""What does the bare view write?  The least that a scan could need."""

from django.db import models


class Station(models.Model):
    name = models.CharField(max_length=40)

    def __str__(self) -> str:
        return self.name


class Sheet(models.Model):
    token = models.CharField(max_length=40, unique=True)

    def __str__(self) -> str:
        return self.token


class Step(models.Model):
    sheet = models.ForeignKey(Sheet, models.CASCADE)
    number = models.SmallIntegerField()
    station = models.ForeignKey(Station, models.PROTECT)
    state = models.CharField(max_length=8, default="todo")
    done_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["sheet", "number"], name="bare_step_once")
        ]

    def __str__(self) -> str:
        return f"{self.sheet_id} {self.number}"


class Event(models.Model):
    sheet_number = models.IntegerField(db_index=True)
    step_number = models.SmallIntegerField()
    worker = models.IntegerField()
    at = models.DateTimeField()
    note = models.CharField(max_length=40)

    def __str__(self) -> str:
        return str(self.pk)


class Measurement(models.Model):
    event = models.ForeignKey(Event, models.CASCADE)
    name = models.CharField(max_length=20)
    value = models.FloatField()

    def __str__(self) -> str:
        return self.name
