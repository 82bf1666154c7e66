"""What came late out of a tablet's store and was refused?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.orders.models import Instrument
from travelers.shop.models import Station, Tablet


class Latecomer(models.Model):
    """An entry out of a tablet's store that was refused; open until a lead saw to it.

    ``event`` is its row in the ledger.  There is none where it could not be told
    who did it, or what it was: then ``claim``, as it came, is all there is.
    """

    record_id = models.UUIDField(unique=True)
    wish = models.CharField(max_length=12, blank=True)
    claim = models.JSONField()
    refusal = models.CharField(max_length=40)
    words = models.JSONField(default=dict)
    event = models.OneToOneField(
        "floor.Event", on_delete=models.PROTECT, related_name="latecomer", null=True
    )
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="latecomers", null=True
    )
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="+", null=True
    )
    tablet = models.ForeignKey(
        Tablet, on_delete=models.PROTECT, related_name="+", null=True
    )
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    happened_at = models.DateTimeField(null=True)
    came_at = models.DateTimeField()
    seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    seen_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(refusal=""), name="latecomer_says_why_it_was_refused"
            ),
            models.CheckConstraint(
                condition=Q(seen_by__isnull=True, seen_at__isnull=True)
                | Q(seen_by__isnull=False, seen_at__isnull=False),
                name="latecomer_seen_says_by_whom",
            ),
        ]
        indexes = [
            models.Index(
                fields=["id"],
                condition=Q(seen_at__isnull=True),
                name="latecomer_open",
            )
        ]

    def __str__(self) -> str:
        return f"{self.record_id} {self.refusal}"
