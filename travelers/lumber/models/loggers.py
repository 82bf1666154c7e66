"""Which loggers may tell the air of a room?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.lumber.models.rooms import Room
from travelers.lumber.rules.loggers import NAME_LENGTH


class Logger(models.Model):
    """A device that sends the air of one room; only its token's digest is kept."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="loggers")
    name = models.CharField(max_length=NAME_LENGTH)
    token_digest = models.CharField(max_length=64, unique=True)
    let_in_at = models.DateTimeField()
    let_in_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    heard_at = models.DateTimeField(null=True, blank=True)
    put_out_at = models.DateTimeField(null=True, blank=True)
    put_out_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["room", "name"], name="logger_name_once_a_room"
            ),
            models.CheckConstraint(
                condition=Q(put_out_at__isnull=True, put_out_by__isnull=True)
                | Q(put_out_at__isnull=False, put_out_by__isnull=False),
                name="logger_is_put_out_by_somebody",
            ),
        ]

    def __str__(self) -> str:
        return self.name
