"""How do two parts change their places in two instruments?"""

from django.db.models import F

from travelers.orders.models import Allotment, Part, Step


def exchange_parts(*, one_id: int, other_id: int) -> None:
    """Give each of two parts, with steps and wood, the other's place.

    The caller holds the lock of both instruments and has looked that they may.
    """
    one, other = (Part.objects.get(pk=pk) for pk in (one_id, other_id))
    # For a moment both are of no instrument, since no two parts of one branch may be
    # in one; that an instrument is there, the database asks at the commit.
    Part.objects.filter(pk__in=[one_id, other_id]).update(
        instrument_id=-1 * F("instrument_id")
    )
    for part_id, instrument_id in (
        (one_id, other.instrument_id),
        (other_id, one.instrument_id),
    ):
        Part.objects.filter(pk=part_id).update(instrument_id=instrument_id)
        Step.objects.filter(part_id=part_id).update(instrument_id=instrument_id)
    if one.plank_set_id and other.plank_set_id:
        _exchange_allotments(one.plank_set_id, other.plank_set_id)


def _exchange_allotments(one_id: int, other_id: int) -> None:
    """Let each set be promised to the instrument that it is in now."""
    rows = Allotment.objects.filter(plank_set__in=[one_id, other_id])
    places = {row.plank_set_id: (row.order_id, row.position, row.turn) for row in rows}
    rows.update(order_id=-1 * F("order_id"))
    for set_id, place_of in ((one_id, other_id), (other_id, one_id)):
        order_id, position, turn = places[place_of]
        Allotment.objects.filter(plank_set=set_id).update(
            order_id=order_id, position=position, turn=turn
        )
