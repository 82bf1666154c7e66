"""How does one cutter take the place of another?"""

from datetime import datetime

from django.db import transaction

from travelers.kit.refusals import NOT_YOUR_ROLE, Refused
from travelers.shop.models import Cutter, Person, Station
from travelers.shop.rules import CHANGES_CUTTERS, CUTTER_RUNS_ALREADY


@transaction.atomic
def change_cutter(
    *,
    station_id: int,
    head: str,
    number: str,
    life_parts: int,
    by: Person,
    at: datetime,
) -> Cutter:
    """Mount a cutter at a head; what ran there is taken off in the same moment.

    The station is locked, so that two changes at once are one after the other.
    """
    if not any(by.has(role) for role in CHANGES_CUTTERS):
        raise Refused(NOT_YOUR_ROLE)
    Station.objects.select_for_update(no_key=True).get(pk=station_id)
    runs = Cutter.objects.filter(station=station_id, head=head, taken_off_at=None)
    if runs.filter(number=number).exists():
        raise Refused(CUTTER_RUNS_ALREADY.about(number=number, head=head))
    runs.update(taken_off_at=at, taken_off_by=by)
    return Cutter.objects.create(
        station_id=station_id,
        head=head,
        number=number,
        life_parts=life_parts,
        mounted_at=at,
        mounted_by=by,
    )
