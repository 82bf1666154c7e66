"""How is release planned, what was planned last, and which days were promised?"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from travelers.orders.models import WorkOrder
from travelers.planning.models.lived import LivedThrough
from travelers.planning.rules import CERTAINTIES, USUAL_CERTAINTY


class ReleaseRules(models.Model):
    """How sure a planned release is, and how much may be in work; one row, or none.

    Without ``most_in_work``, instruments, what was in work lately is the limit.
    """

    certainty_pct = models.PositiveSmallIntegerField(default=USUAL_CERTAINTY)
    most_in_work = models.PositiveIntegerField(null=True, blank=True)
    set_at = models.DateTimeField()
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        verbose_name_plural = "release rules"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="release_rules_are_one_row"),
            models.CheckConstraint(
                condition=Q(certainty_pct__in=CERTAINTIES),
                name="release_rules_certainty_known",
            ),
            models.CheckConstraint(
                condition=Q(most_in_work__isnull=True) | Q(most_in_work__gte=1),
                name="release_rules_let_something_in",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.certainty_pct} %, {self.most_in_work}"


class ReleasePlan(LivedThrough):
    """What was planned; what went in are the floor and all orders."""

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(futures__gte=1), name="release_plan_has_futures"
            ),
            models.CheckConstraint(
                condition=Q(digest__regex=r"^[0-9a-f]{64}$"),
                name="release_plan_digest_is_one",
            ),
            models.UniqueConstraint(fields=["day"], name="release_plan_once_a_day"),
        ]


class OrderPromise(models.Model):
    """The day that was promised for an order, and what the forecast said then.

    ``half_on``, ``usual_on`` and ``sure_on`` are the days by which it is finished in
    50, 80 and 95 of 100 cases.
    """

    order = models.OneToOneField(
        WorkOrder, on_delete=models.PROTECT, related_name="promise"
    )
    promised_on = models.DateField()
    wished_on = models.DateField()
    certainty_pct = models.PositiveSmallIntegerField()
    half_on = models.DateField()
    usual_on = models.DateField()
    sure_on = models.DateField()
    asked_at = models.DateTimeField()
    seed = models.PositiveBigIntegerField()
    futures = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(certainty_pct__lte=100), name="promise_certainty_is_a_share"
            ),
            models.CheckConstraint(
                condition=Q(half_on__lte=F("usual_on"), usual_on__lte=F("sure_on")),
                name="promise_days_are_in_order",
            ),
            models.CheckConstraint(
                condition=Q(futures__gte=1), name="promise_has_futures"
            ),
            models.CheckConstraint(
                condition=Q(digest__regex=r"^[0-9a-f]{64}$"),
                name="promise_digest_is_one",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.order_id} {self.promised_on}"
