"""Which batches, serial numbers and loads has somebody in mind who types a text?

``which`` says what to look at, ``most`` how many are given at the most.
"""

from uuid import UUID

from django.db.models import Q

from travelers.floor.models import Batch, Load
from travelers.floor.queries.standing import standing_uses


def batches_sought(*, which: Q, most: int) -> list[int]:
    """Give the numbers of batches, the newest first."""
    rows = Batch.objects.filter(which).order_by("-received_on", "-pk")
    return list(rows.values_list("pk", flat=True)[:most])


def serials_sought(*, which: Q, most: int) -> list[tuple[int, str]]:
    """Give serial numbers that were built in, each behind its material's number."""
    rows = standing_uses().filter(which).exclude(serial="")
    return list(
        rows.order_by("serial", "need__material_id")
        .values_list("need__material_id", "serial")
        .distinct()[:most]
    )


def loads_sought(*, which: Q, most: int) -> list[UUID]:
    """Give loads, the latest first."""
    rows = Load.objects.filter(which).order_by("-begun_at", "pk")
    return list(rows.values_list("pk", flat=True)[:most])
