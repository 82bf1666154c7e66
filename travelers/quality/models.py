"""What was found wrong, where, and what was decided?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.kit.fields import choice, one_of
from travelers.lumber.models import Plank, PlankSet
from travelers.orders.models import Part, Step
from travelers.quality.rules import MOST_PHOTOS, Decision, Kind, Severity
from travelers.routes.models import Characteristic, DefectKind


class Defect(models.Model):
    """What a DEFECT event found; ``x`` and ``y`` are shares of the outline."""

    event = models.OneToOneField(
        "floor.Event", on_delete=models.PROTECT, related_name="defect"
    )
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="defects")
    step = models.ForeignKey(Step, on_delete=models.PROTECT, related_name="defects")
    kind = models.ForeignKey(
        DefectKind, on_delete=models.PROTECT, related_name="defects"
    )
    severity = choice(Severity)
    x = models.DecimalField(max_digits=4, decimal_places=3)
    y = models.DecimalField(max_digits=4, decimal_places=3)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(x__gte=0, x__lte=1, y__gte=0, y__lte=1),
                name="defect_lies_on_the_outline",
            ),
            models.CheckConstraint(
                condition=one_of(Severity, "severity"), name="defect_severity_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id} {self.kind_id}"


class DefectPhoto(models.Model):
    """A photo of a defect; ``name`` is its file's, empty where none could be kept."""

    defect = models.ForeignKey(Defect, on_delete=models.PROTECT, related_name="photos")
    number = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=40, blank=True)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    width = models.PositiveSmallIntegerField()
    height = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["defect", "number"], name="defect_photo_once_a_number"
            ),
            models.UniqueConstraint(
                fields=["name"],
                condition=~Q(name=""),
                name="defect_photo_has_its_own_file",
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1, number__lte=MOST_PHOTOS),
                name="defect_photo_one_of_three",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.defect_id} {self.number}"


class Disposition(models.Model):
    """What QA decided of a defect, and why."""

    defect = models.OneToOneField(
        Defect, on_delete=models.PROTECT, related_name="disposition"
    )
    decision = choice(Decision)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    decided_at = models.DateTimeField()
    reason = models.CharField(max_length=200)
    event = models.OneToOneField(
        "floor.Event", on_delete=models.PROTECT, related_name="disposition", null=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Decision, "decision") & ~Q(reason=""),
                name="disposition_has_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(decision__in=[Decision.REWORK, Decision.SCRAP])
                & Q(event__isnull=False)
                | Q(decision__in=[Decision.USE_AS_IS, Decision.DOWNGRADE])
                & Q(event__isnull=True),
                name="disposition_that_moves_names_its_event",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.defect_id} {self.decision}"


class Containment(models.Model):
    """All that came of one thing, held in one go with a reason.

    ``uuid`` is made by the page, so that a second press is the same deed; ``kind`` and
    ``thing`` name what was traced, and ``name`` is what it was called then.
    """

    uuid = models.UUIDField(unique=True)
    kind = choice(Kind)
    thing = models.CharField(max_length=40)
    key = models.CharField(max_length=40)
    name = models.CharField(max_length=60)
    reason = models.CharField(max_length=200)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Kind, "kind"), name="containment_kind_known"
            ),
            models.CheckConstraint(
                condition=~Q(reason=""), name="containment_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pk} {self.name}"


class Contained(models.Model):
    """One part, set or plank that a containment holds.

    A part is held by an event of the ledger, whose id is ``hold_id``, and let go by
    another. Wood that is no part yet says here when it was let go.
    """

    containment = models.ForeignKey(
        Containment, on_delete=models.PROTECT, related_name="contained"
    )
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="+", null=True
    )
    plank_set = models.ForeignKey(
        PlankSet, on_delete=models.PROTECT, related_name="+", null=True
    )
    plank = models.ForeignKey(
        Plank, on_delete=models.PROTECT, related_name="+", null=True
    )
    hold_id = models.UUIDField(unique=True, null=True)
    only_part = models.BooleanField(default=False)
    let_go_at = models.DateTimeField(null=True)
    let_go_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    part__isnull=False,
                    hold_id__isnull=False,
                    plank_set__isnull=True,
                    plank__isnull=True,
                )
                | Q(
                    part__isnull=True,
                    hold_id__isnull=True,
                    plank_set__isnull=False,
                    plank__isnull=True,
                )
                | Q(
                    part__isnull=True,
                    hold_id__isnull=True,
                    plank_set__isnull=True,
                    plank__isnull=False,
                ),
                name="contained_is_one_thing",
            ),
            models.CheckConstraint(
                condition=Q(let_go_at__isnull=True, let_go_by__isnull=True)
                | Q(let_go_at__isnull=False, let_go_by__isnull=False),
                name="contained_let_go_says_who",
            ),
            models.UniqueConstraint(
                fields=["containment", "part"], name="contained_part_once"
            ),
            models.UniqueConstraint(
                fields=["containment", "plank_set"], name="contained_set_once"
            ),
            models.UniqueConstraint(
                fields=["containment", "plank"], name="contained_plank_once"
            ),
        ]

    def __str__(self) -> str:
        own = self.part_id or self.plank_set_id or self.plank_id
        return f"{self.containment_id} {own}"


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
