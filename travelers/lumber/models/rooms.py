"""Which stations are rooms for wood, and what was their air?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.lumber.rules.air import (
    COLDEST_C,
    DRIEST_LIMIT_PCT,
    HOTTEST_C,
    WETTEST_LIMIT_PCT,
    Told,
)


class Room(models.Model):
    """A station where wood lies to dry, and the moisture it must come below there."""

    station = models.OneToOneField(
        "shop.Station", on_delete=models.PROTECT, related_name="room"
    )
    limit_pct = models.DecimalField(max_digits=3, decimal_places=1)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    limit_pct__gte=DRIEST_LIMIT_PCT, limit_pct__lte=WETTEST_LIMIT_PCT
                ),
                name="room_limit_is_of_dry_wood",
            )
        ]

    def __str__(self) -> str:
        return f"room {self.station_id}"


class RoomReading(models.Model):
    """The air of a room at one moment: °C and % relative humidity."""

    room = models.ForeignKey(Room, on_delete=models.PROTECT, related_name="readings")
    read_at = models.DateTimeField()
    temperature_c = models.DecimalField(max_digits=4, decimal_places=1)
    humidity_pct = models.DecimalField(max_digits=4, decimal_places=1)
    told = choice(Told)
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["room", "read_at"], name="room_reading_once_a_moment"
            ),
            models.CheckConstraint(
                condition=Q(temperature_c__gte=COLDEST_C, temperature_c__lte=HOTTEST_C),
                name="room_reading_temperature_can_be",
            ),
            models.CheckConstraint(
                condition=Q(humidity_pct__gte=0, humidity_pct__lte=100),
                name="room_reading_humidity_can_be",
            ),
            models.CheckConstraint(
                condition=one_of(Told, "told"), name="room_reading_told_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.room_id} {self.read_at.isoformat()}"
