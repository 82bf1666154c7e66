"""What is kept of futures that were lived through?"""

from django.db import models


class LivedThrough(models.Model):
    """What was said at one moment; the last of each day is kept.

    ``digest`` is of all that went in: the same digest, seed and number of futures give
    the same results.
    """

    made_at = models.DateTimeField(unique=True)
    day = models.DateField()
    seed = models.PositiveBigIntegerField()
    futures = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    results = models.JSONField()

    class Meta:
        abstract = True

    def __str__(self) -> str:
        return f"{self.made_at:%Y-%m-%d %H:%M}"
