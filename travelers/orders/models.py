"""What shall be built, of which wood, and how far is each part?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.lumber.models import PlankSet
from travelers.orders.rules import OPEN_STATES, InstrumentState, Look, StepState
from travelers.routes.models import Operation, Revision
from travelers.routes.rules import Branch
from travelers.shop.models import Stage, Station


class WorkOrder(models.Model):
    number = models.CharField(max_length=20, unique=True)
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, related_name="orders"
    )
    finish = models.CharField(max_length=40)
    note = models.CharField(max_length=200, blank=True)
    quantity = models.PositiveSmallIntegerField()
    due_on = models.DateField()
    priority = models.PositiveSmallIntegerField(default=5)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    released_at = models.DateTimeField(null=True, blank=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(quantity__gte=1, quantity__lte=500),
                name="order_quantity_1_to_500",
            ),
            models.CheckConstraint(
                condition=Q(priority__gte=1, priority__lte=9),
                name="order_priority_1_to_9",
            ),
            models.CheckConstraint(
                condition=Q(released_at__isnull=True, released_by__isnull=True)
                | Q(released_at__isnull=False, released_by__isnull=False),
                name="order_release_has_who_and_when",
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Allotment(models.Model):
    """A plank set promised to one instrument of an order."""

    order = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="allotments"
    )
    branch = choice(Branch)
    position = models.PositiveSmallIntegerField()
    plank_set = models.OneToOneField(
        PlankSet, on_delete=models.PROTECT, related_name="allotment"
    )
    # One more for each time that the part was scrapped and is made anew.
    turn = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["order", "branch", "position", "turn"],
                name="allotment_once_a_place_and_turn",
            ),
            models.CheckConstraint(
                condition=Q(branch__in=[Branch.BODY, Branch.NECK], position__gte=1),
                name="allotment_is_of_wood",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id} {self.branch} {self.position}"


class Instrument(models.Model):
    serial = models.CharField(max_length=20, unique=True)
    order = models.ForeignKey(
        WorkOrder, on_delete=models.PROTECT, related_name="instruments"
    )
    revision = models.ForeignKey(
        Revision, on_delete=models.PROTECT, related_name="instruments"
    )
    position = models.PositiveSmallIntegerField()
    released_at = models.DateTimeField()
    state = choice(InstrumentState, default=InstrumentState.OPEN)
    closed_at = models.DateTimeField(null=True, blank=True)
    held_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["order", "position"], name="instrument_place_once_an_order"
            ),
            models.CheckConstraint(
                condition=Q(state=InstrumentState.OPEN, closed_at__isnull=True)
                | Q(
                    state__in=[InstrumentState.FINISHED, InstrumentState.SCRAPPED],
                    closed_at__isnull=False,
                ),
                name="instrument_closed_has_when",
            ),
        ]
        indexes = [
            models.Index(
                fields=["order"],
                condition=Q(state=InstrumentState.OPEN),
                name="instrument_open_of_order",
            ),
            models.Index(
                fields=["closed_at"],
                condition=Q(closed_at__isnull=False),
                name="instrument_closed_by_time",
            ),
        ]

    def __str__(self) -> str:
        return self.serial


class PartQuerySet(models.QuerySet["Part"]):
    def in_use(self) -> "PartQuerySet":
        """Leave out what was scrapped, in whose stead another is made."""
        return self.filter(scrapped_at__isnull=True)


class Part(models.Model):
    """What travels: the body, the neck, the harness, and at last the instrument.

    ``stage``, ``look`` and ``since`` are the board's projection: where the part
    is in work, how it shows there and since when; all empty when it is not on
    the floor (joined, finished, not begun).

    A part that was scrapped stays, with its wood and what was done; the one that is
    made instead names it, and wants wood until it is allotted some.
    """

    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="parts"
    )
    branch = choice(Branch)
    code = models.CharField(max_length=8, unique=True)
    plank_set = models.OneToOneField(
        PlankSet, on_delete=models.PROTECT, related_name="part", null=True, blank=True
    )
    held_at = models.DateTimeField(null=True, blank=True)
    stage = models.ForeignKey(
        Stage, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    look = choice(Look, null=True, blank=True)
    since = models.DateTimeField(null=True, blank=True)
    scrapped_at = models.DateTimeField(null=True, blank=True)
    wants_wood = models.BooleanField(default=False)
    instead_of = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        related_name="made_instead",
        null=True,
        blank=True,
    )

    objects = PartQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["instrument", "branch"],
                condition=Q(scrapped_at__isnull=True),
                name="part_in_use_once_a_branch",
            ),
            models.CheckConstraint(
                condition=Q(scrapped_at__isnull=True) | Q(stage__isnull=True),
                name="part_scrapped_is_nowhere",
            ),
            models.CheckConstraint(
                condition=Q(wants_wood=False) | Q(plank_set__isnull=True),
                name="part_wants_wood_or_has_it",
            ),
            models.CheckConstraint(
                condition=one_of(Branch, "branch"), name="part_branch_known"
            ),
            models.CheckConstraint(
                condition=Q(stage__isnull=True, look__isnull=True, since__isnull=True)
                | Q(stage__isnull=False, look__isnull=False, since__isnull=False),
                name="part_place_is_whole",
            ),
        ]
        indexes = [
            models.Index(
                fields=["stage", "branch", "look", "since"],
                condition=Q(stage__isnull=False),
                name="part_on_the_floor",
            ),
            models.Index(
                fields=["instrument"],
                condition=Q(wants_wood=True),
                name="part_that_wants_wood",
            ),
        ]

    def __str__(self) -> str:
        return self.code


class Step(models.Model):
    """One operation on one part, once.  The state is a projection of the ledger."""

    instrument = models.ForeignKey(
        Instrument, on_delete=models.PROTECT, related_name="steps"
    )
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="steps")
    operation = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveIntegerField()
    repeat = models.PositiveSmallIntegerField(default=1)
    turn = models.PositiveSmallIntegerField(default=0)
    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="+")
    station = models.ForeignKey(
        Station, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    state = choice(StepState, default=StepState.WAITING)
    ready_at = models.DateTimeField(null=True, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    dwell_until = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    at_station = models.ForeignKey(
        Station,
        on_delete=models.PROTECT,
        related_name="lying_steps",
        null=True,
        blank=True,
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["part", "position"], name="step_position_once_a_part"
            ),
            models.CheckConstraint(
                condition=one_of(StepState, "state"), name="step_state_known"
            ),
            models.CheckConstraint(
                condition=~Q(state=StepState.DONE) | Q(finished_at__isnull=False),
                name="step_done_has_when",
            ),
            models.CheckConstraint(
                condition=~Q(state=StepState.DWELLING) | Q(dwell_until__isnull=False),
                name="step_dwelling_has_until",
            ),
        ]
        indexes = [
            models.Index(
                fields=["instrument"],
                condition=Q(state__in=OPEN_STATES),
                name="step_open_of_instrument",
            ),
            models.Index(
                fields=["stage", "state", "ready_at"],
                condition=Q(
                    state__in=[StepState.READY, StepState.RUNNING, StepState.DWELLING]
                ),
                name="step_active_at_stage",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id}-{self.position}"
