"""Which sheets were printed, of what, by whom?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.orders.models import Instrument
from travelers.paper.rules import Paper


class Sheet(models.Model):
    """One printed paper; the copy number tells a reprint from the first."""

    paper = choice(Paper)
    of = models.CharField(max_length=40)
    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="sheets", null=True
    )
    copy = models.PositiveSmallIntegerField()
    printed_at = models.DateTimeField()
    printed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Paper, "paper") & Q(copy__gte=1),
                name="sheet_paper_known",
            ),
            models.UniqueConstraint(
                fields=["paper", "of", "copy"], name="sheet_copy_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.paper} {self.of} {self.copy}"
