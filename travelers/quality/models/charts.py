"""Of which time are the limits made, and what was behind the signals?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.routes.models import Characteristic


class ChartBase(models.Model):
    """From when to when the work was as it should be: the limits are made of that.

    The newest of a characteristic counts; the older ones say what counted before.
    """

    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="+"
    )
    since = models.DateField()
    until = models.DateField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(since__lte=F("until")), name="chart_base_in_order"
            )
        ]

    def __str__(self) -> str:
        return f"{self.characteristic_id} {self.since} {self.until}"


class SignalAnswer(models.Model):
    """What was found behind a signal of a chart, and what was done about it.

    A signal is a point of a chart, by the event that it was measured in; ``rules`` are
    those that it completed when it was answered.
    """

    event_id = models.UUIDField()
    rules = models.CharField(max_length=200)
    characteristic = models.ForeignKey(
        Characteristic, on_delete=models.PROTECT, related_name="+"
    )
    cause = models.CharField(max_length=200)
    action = models.CharField(max_length=200)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    answered_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["characteristic", "event_id"], name="signal_answered_once"
            ),
            models.CheckConstraint(
                condition=~Q(cause="") & ~Q(action="") & ~Q(rules=""),
                name="signal_answer_says_cause_and_action",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rules} {self.event_id}"
