"""Which papers came with a delivery?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.kit.papers import PaperKind
from travelers.lumber.models.planks import Delivery
from travelers.lumber.rules.papers import MOST_PAPERS


class DeliveryPaper(models.Model):
    """A paper as a file; ``name`` is the file's own, ``title`` what it was called."""

    delivery = models.ForeignKey(
        Delivery, on_delete=models.PROTECT, related_name="files"
    )
    number = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=60)
    kind = choice(PaperKind)
    name = models.CharField(max_length=40, unique=True)
    sha256 = models.CharField(max_length=64)
    size = models.PositiveIntegerField()
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["delivery", "number"], name="delivery_paper_once_a_number"
            ),
            models.UniqueConstraint(
                fields=["delivery", "sha256"], name="delivery_paper_once_a_content"
            ),
            models.CheckConstraint(
                condition=one_of(PaperKind, "kind"), name="delivery_paper_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1, number__lte=MOST_PAPERS, size__gt=0)
                & ~Q(name=""),
                name="delivery_paper_is_there",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.delivery_id} {self.number}"
