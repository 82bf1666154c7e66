"""What was found wrong, where, and what was decided?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.orders.models import Part, Step
from travelers.quality.rules import (
    MOST_PHOTOS,
    Decision,
    Severity,
)
from travelers.routes.models import DefectKind


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
                condition=Q(
                    decision__in=[Decision.REWORK, Decision.SCRAP, Decision.REPLACE]
                )
                & Q(event__isnull=False)
                | Q(decision__in=[Decision.USE_AS_IS, Decision.DOWNGRADE])
                & Q(event__isnull=True),
                name="disposition_that_moves_names_its_event",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.defect_id} {self.decision}"


class Verification(models.Model):
    """Who looked at what a rework put right, and found it good."""

    disposition = models.OneToOneField(
        Disposition, on_delete=models.PROTECT, related_name="verification"
    )
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    verified_at = models.DateTimeField()
    note = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return f"{self.disposition_id} {self.verified_at:%Y-%m-%d}"
