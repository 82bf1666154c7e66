"""Who is qualified for which kind of work, and where is that asked?"""

from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.shop.models.people import Person
from travelers.shop.models.places import Stage
from travelers.shop.rules import Work


class NeedsQualification(models.Model):
    """A kind of work at a stage that asks for somebody qualified."""

    stage = models.ForeignKey(Stage, on_delete=models.PROTECT, related_name="needs")
    kind = choice(Work)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=one_of(Work, "kind"), name="needs_qualification_kind_known"
            ),
            models.UniqueConstraint(
                fields=["stage", "kind"], name="needs_qualification_said_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stage} {self.kind}"


class Qualification(models.Model):
    """Somebody who may do such work, for good or until a day, that day included."""

    person = models.ForeignKey(
        Person, on_delete=models.PROTECT, related_name="qualifications"
    )
    stage = models.ForeignKey(
        Stage, on_delete=models.PROTECT, related_name="qualifications"
    )
    kind = choice(Work)
    until = models.DateField(null=True, blank=True)
    # Unknown of those that were given before this was kept.
    given_at = models.DateTimeField(null=True, blank=True, editable=False)
    given_by = models.ForeignKey(
        Person,
        on_delete=models.PROTECT,
        related_name="qualifications_given",
        null=True,
        blank=True,
        editable=False,
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(given_at__isnull=True, given_by__isnull=True)
                | Q(given_at__isnull=False, given_by__isnull=False),
                name="qualification_given_says_by_whom",
            ),
            models.CheckConstraint(
                condition=one_of(Work, "kind"), name="qualification_kind_known"
            ),
            models.UniqueConstraint(
                fields=["person", "stage", "kind"], name="qualification_said_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.stage} {self.kind}"
