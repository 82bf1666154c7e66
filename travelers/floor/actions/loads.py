"""How is it kept which parts lie together in one load?"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from travelers.floor.models import Event, Load, Stay
from travelers.floor.rules import reasons
from travelers.floor.rules.facts import Place
from travelers.floor.rules.machine import Wish
from travelers.kit.refusals import FORM_WRONG, Refusal


class BegunElsewhere(Exception):
    """Another station began the same load between the look and the deed."""


def refused_load(data: Mapping[str, Any], place: Place | None) -> Refusal | None:
    """Say why a part cannot be put into the load that a wish names."""
    if not data.get("load"):
        return None
    try:
        load_id = UUID(str(data["load"]))
    except ValueError:
        return FORM_WRONG
    load = Load.objects.filter(pk=load_id).select_related("station").first()
    if load is None or (place and load.station_id == place.id):
        return None
    return reasons.LOAD_ELSEWHERE.about(station=load.station.name)


def move_stays(event: Event) -> None:
    """Put a part into its load, or end its stay there, as an accepted event says.

    The first part begins the load.  The station is locked while a part comes in, so
    that of two who begin one load there at once the second finds it; of two at two
    stations the database lets one begin it, and the other's deed is undone.
    """
    if event.step_id is None or event.station_id is None:
        return
    if event.kind == Wish.LOAD and event.data.get("load"):
        load, _ = Load.objects.get_or_create(
            pk=UUID(event.data["load"]),
            defaults={
                "station_id": event.station_id,
                "person_id": event.person_id,
                "begun_at": event.happened_at,
            },
        )
        if load.station_id != event.station_id:
            raise BegunElsewhere
        Stay.objects.create(load=load, step_id=event.step_id, event=event)
    elif event.kind == Wish.TAKE_OUT:
        Stay.objects.filter(step_id=event.step_id, taken_out=None).update(
            taken_out=event
        )


def move_stays_back(event: Event) -> None:
    """Take a part out of its load, or lay it back, as if an event had never been.

    A load that nothing lay in any more never was; else the first that is left began
    it.
    """
    if event.kind == Wish.TAKE_OUT:
        Stay.objects.filter(taken_out=event).update(taken_out=None)
        return
    stay = Stay.objects.filter(event=event).first()
    if stay is None:
        return
    load = Load.objects.select_for_update().get(pk=stay.load_id)
    stay.delete()
    first = load.stays.select_related("event").order_by("event_id").first()
    if first is None:
        load.delete()
        return
    load.person_id, load.begun_at = first.event.person_id, first.event.happened_at
    load.save(update_fields=["person", "begun_at"])
