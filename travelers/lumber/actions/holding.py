"""How is wood held, so that nothing more is made of it, and let go again?"""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction

from travelers.lumber.models import Plank, PlankSet


@transaction.atomic
def hold_wood(
    *, plank_ids: Collection[int], plank_set_ids: Collection[int], at: datetime
) -> None:
    """Hold planks and sets; what is held already keeps its day."""
    for rows in (
        Plank.objects.filter(pk__in=plank_ids),
        PlankSet.objects.filter(pk__in=plank_set_ids),
    ):
        rows.filter(held_since=None).update(held_since=at)


@transaction.atomic
def let_wood_go(*, plank_ids: Collection[int], plank_set_ids: Collection[int]) -> None:
    """Let planks and sets go again; whoever asks knows that nothing else holds them."""
    Plank.objects.filter(pk__in=plank_ids).update(held_since=None)
    PlankSet.objects.filter(pk__in=plank_set_ids).update(held_since=None)
