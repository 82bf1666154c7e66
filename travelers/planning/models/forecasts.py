"""What was forecast when, and which changes were tried?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.planning.models.lived import LivedThrough


class Forecast(LivedThrough):
    """What was said of the floor."""

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(futures__gte=1), name="forecast_has_futures"
            ),
            models.CheckConstraint(
                condition=Q(digest__regex=r"^[0-9a-f]{64}$"),
                name="forecast_digest_is_one",
            ),
            models.UniqueConstraint(fields=["day"], name="forecast_once_a_day"),
        ]


class WhatIf(models.Model):
    """A change of the floor that a planner named, and what came of it last."""

    name = models.CharField(max_length=60, unique=True)
    changes = models.JSONField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    tried_at = models.DateTimeField(null=True, blank=True)
    results = models.JSONField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="what_if_has_a_name"),
            models.CheckConstraint(
                condition=Q(tried_at__isnull=True, results__isnull=True)
                | Q(tried_at__isnull=False, results__isnull=False),
                name="what_if_tried_says_what_came",
            ),
        ]

    def __str__(self) -> str:
        return self.name
