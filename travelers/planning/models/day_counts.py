"""How many lay where as each day ended, kept so that nobody counts a year again?"""

from django.db import models
from django.db.models import F, Q

from travelers.kit.fields import choice, one_of
from travelers.routes.rules import Branch
from travelers.shop.models import Stage


class DayCount(models.Model):
    """What came to a stage on a closed day, went from it, and lay there at its end.

    Of a branch; without one, of whole instruments.  ``entered`` of those that came
    were nowhere on the floor before, ``left`` of those that went are nowhere after.
    It follows from the ledger and can be thrown away.
    """

    day = models.DateField()
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="+")
    branch = choice(Branch, blank=True)
    came = models.PositiveIntegerField()
    entered = models.PositiveIntegerField()
    went = models.PositiveIntegerField()
    left = models.PositiveIntegerField()
    lay = models.PositiveIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["day", "branch", "stage"], name="day_count_once_a_place"
            ),
            models.CheckConstraint(
                condition=one_of(Branch, "branch") | Q(branch=""),
                name="day_count_branch_known",
            ),
            models.CheckConstraint(
                condition=Q(entered__lte=F("came"), left__lte=F("went")),
                name="day_count_part_of_whole",
            ),
            models.CheckConstraint(
                condition=Q(lay__gte=F("came") - F("went")),
                name="day_count_went_no_more_than_lay",
            ),
            models.CheckConstraint(
                condition=~Q(came=0, went=0, lay=0), name="day_count_is_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.stage_id} {self.branch}"


class Counted(models.Model):
    """How far the days are counted, and what of the ledger was known then; one row.

    ``event_seq`` and ``instrument_number`` are the newest of then, with how many lay
    close below them.  What happened after the counted days stands in the ledger from
    ``open_seq`` on.  ``times`` grows with each counting: so two at once are found out.
    """

    until = models.DateField(null=True)
    zone = models.CharField(max_length=64, blank=True)
    event_seq = models.BigIntegerField(default=0)
    events_near = models.PositiveIntegerField(default=0)
    open_seq = models.BigIntegerField(default=0)
    instrument_number = models.BigIntegerField(default=0)
    instruments_near = models.PositiveIntegerField(default=0)
    times = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="counted_is_one_row")
        ]

    def __str__(self) -> str:
        return f"{self.until} {self.event_seq}"
