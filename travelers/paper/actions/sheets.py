"""How is it written down what was printed, in which copy and by whom?"""

from collections.abc import Sequence
from datetime import datetime

from django.db import models, transaction
from django.db.models import Max

from travelers.floor.queries import lock_batches, lock_loads
from travelers.lumber.models import Delivery, PlankSet
from travelers.orders.models import Instrument, WorkOrder
from travelers.paper.models import Sheet
from travelers.paper.rules import Paper, Printing
from travelers.shop.models import Person, Station

# Of what each paper is, and by which of its names.
OWNERS: dict[Paper, tuple[type[models.Model], str]] = {
    Paper.TRAVELER: (Instrument, "serial"),
    Paper.TAGS: (WorkOrder, "number"),
    Paper.PIECE_LABELS: (PlankSet, "number"),
    Paper.PLANK_LABELS: (Delivery, "number"),
    Paper.STATION_CARD: (Station, "code"),
    Paper.COMMANDS: (Station, "code"),
    Paper.BUILD_RECORD: (Instrument, "serial"),
    Paper.REWORK_SHEET: (Instrument, "serial"),
}
OF_AN_INSTRUMENT = {Paper.TRAVELER, Paper.BUILD_RECORD, Paper.REWORK_SHEET}


@transaction.atomic
def record_sheets(
    *, paper: Paper, of: Sequence[str], by: Person, at: datetime
) -> dict[str, Printing]:
    """Write down that a paper is printed of each of these, and as which copy.

    1. Lock what the papers are of, so that two prints at once do not get one copy.
    2. Look for the last copy of each.
    3. Append a row for each.

    It comes before the printing, because the copy stands on the paper; a copy that
    then is not printed leaves a gap in the numbers, which does no harm.
    """
    owners = _locked(paper, of)
    last = dict(
        Sheet.objects.filter(paper=paper, of__in=of)
        .values_list("of")
        .annotate(last=Max("copy"))
    )
    copies = {number: last.get(number, 0) + 1 for number in of}
    Sheet.objects.bulk_create(
        Sheet(
            paper=paper,
            of=number,
            instrument_id=owners[number].pk if paper in OF_AN_INSTRUMENT else None,
            copy=copy,
            printed_at=at,
            printed_by=by,
        )
        for number, copy in copies.items()
    )
    return {number: Printing(copy, at, str(by)) for number, copy in copies.items()}


def _locked(paper: Paper, of: Sequence[str]) -> dict[str, models.Model]:
    if paper is Paper.LOAD_SHEET:
        # Loads and batches are the floor's own rows; its queries lock and find them.
        return {str(load.pk): load for load in lock_loads(ids=of)}
    if paper is Paper.BATCH_LABEL:
        return {batch.code: batch for batch in lock_batches(codes=of)}
    model, name = OWNERS[paper]
    return {
        getattr(owner, name): owner
        for owner in model._default_manager.select_for_update()
        .filter(**{f"{name}__in": of})
        .order_by("pk")
    }
