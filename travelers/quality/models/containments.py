"""What is held because of what it came of?"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from travelers.kit.fields import choice, one_of
from travelers.lumber.models import Plank, PlankSet
from travelers.orders.models import Part
from travelers.quality.rules import (
    Kind,
)


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


def _only(name: str, **also: bool) -> Q:
    """Say that of all things that can be contained one is named, and no other."""
    things = ("part", "plank_set", "plank", "batch")
    return Q(**{f"{one}__isnull": one != name for one in things}, **also)


class Contained(models.Model):
    """One part, set, plank or batch that a containment holds.

    A part is held by an event of the ledger, whose id is ``hold_id``, and let go by
    another; a batch by a hold of its own with that id. Wood that is no part yet says
    here when it was let go.
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
    batch = models.ForeignKey(
        "floor.Batch", on_delete=models.PROTECT, related_name="+", null=True
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
                condition=_only("part", hold_id__isnull=False)
                | _only("plank_set", hold_id__isnull=True)
                | _only("plank", hold_id__isnull=True)
                | _only("batch", hold_id__isnull=False),
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
            models.UniqueConstraint(
                fields=["containment", "batch"], name="contained_batch_once"
            ),
        ]

    def __str__(self) -> str:
        own = self.part_id or self.plank_set_id or self.plank_id or self.batch_id
        return f"{self.containment_id} {own}"
