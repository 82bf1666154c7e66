"""What has this shop decided for itself?"""

from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.shop.models.people import Person
from travelers.shop.rules import WORKSHOP_C, WORKSHOP_PCT, OverdueGauges


class HouseRules(models.Model):
    """What this shop has decided for itself; one row, or none for the usual."""

    overdue_gauges = choice(OverdueGauges, default=OverdueGauges.REFUSE)
    # The air in which dry wood lies between its room and the glue.
    workshop_c = models.DecimalField(max_digits=3, decimal_places=1, default=WORKSHOP_C)
    workshop_pct = models.DecimalField(
        max_digits=3, decimal_places=1, default=WORKSHOP_PCT
    )
    changed_at = models.DateTimeField()
    changed_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")

    class Meta:
        verbose_name_plural = "house rules"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="house_rules_are_one_row"),
            models.CheckConstraint(
                condition=one_of(OverdueGauges, "overdue_gauges"),
                name="house_rules_overdue_gauges_known",
            ),
            models.CheckConstraint(
                condition=Q(workshop_c__gte=5, workshop_c__lte=40)
                & Q(workshop_pct__gte=5, workshop_pct__lte=95),
                name="house_rules_workshop_air_can_be",
            ),
        ]

    def __str__(self) -> str:
        return f"overdue gauges: {self.overdue_gauges}"
