"""Which cutter runs at which head, and since when?"""

from django.db import models
from django.db.models import F, Q

from travelers.shop.models.people import Person
from travelers.shop.models.places import Station


class Cutter(models.Model):
    """A cutter's time at one head of a station; open until another takes its place.

    ``number`` is engraved on it. Ground again and mounted again, it is a new row.
    """

    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="cutters", db_index=False
    )
    head = models.CharField(max_length=20)
    number = models.CharField(max_length=20)
    life_parts = models.PositiveIntegerField()
    mounted_at = models.DateTimeField()
    mounted_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    taken_off_at = models.DateTimeField(null=True)
    taken_off_by = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="+", null=True
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["station", "head"],
                condition=Q(taken_off_at__isnull=True),
                name="cutter_one_at_a_head",
            ),
            models.CheckConstraint(
                condition=~Q(head="") & ~Q(number="") & Q(life_parts__gte=1),
                name="cutter_has_head_number_and_life",
            ),
            models.CheckConstraint(
                condition=Q(taken_off_at__isnull=True, taken_off_by__isnull=True)
                | Q(
                    taken_off_at__gt=F("mounted_at"),
                    taken_off_by__isnull=False,
                ),
                name="cutter_taken_off_says_who_and_later",
            ),
        ]
        indexes = [
            models.Index(fields=["station", "mounted_at"], name="cutter_of_station"),
        ]

    def __str__(self) -> str:
        return f"{self.station_id} {self.head} {self.number}"
