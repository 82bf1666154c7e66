"""What air do the demo's drying rooms have?"""

from datetime import datetime, timedelta
from decimal import Decimal
from random import Random

from travelers.demo import queries
from travelers.demo.actions.setting_up import Shop
from travelers.demo.rules.weather import airs
from travelers.lumber.actions import note_airs
from travelers.lumber.models import Room
from travelers.lumber.rules import Told


def heat_rooms(*, shop: Shop, since: datetime, until: datetime, chance: Random) -> None:
    """Name the rooms for wood, and let a logger read their air every hour.

    In one of them the air has been too damp for some days when the demo is loaded.
    """
    for row in queries.fixture(name="shop")["rooms"]:
        room = Room.objects.create(
            station=shop.stations[row["station"]], limit_pct=Decimal(row["limit_pct"])
        )
        note_airs(
            room_id=room.pk,
            readings=airs(
                since=since,
                until=until,
                temperature_c=row["temperature_c"],
                humidity_pct=row["humidity_pct"],
                damp_since=until - timedelta(days=row["damp_for_days"]),
                damper_by_pct=row["damper_by_pct"],
                chance=chance,
            ),
            told=Told.BY_LOGGER,
        )
