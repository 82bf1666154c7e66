"""Who works here, where, in which hours, with which gauges, cutters and tablets?"""

from travelers.shop.models.cutters import Cutter
from travelers.shop.models.gauges import Counter, Gauge, GaugeFault
from travelers.shop.models.house import HouseRules
from travelers.shop.models.people import Badge, Person
from travelers.shop.models.places import ClosedDay, Shift, Stage, Station
from travelers.shop.models.skills import NeedsQualification, Qualification
from travelers.shop.models.tablets import Invitation, PinTry, Session, Tablet

__all__ = [
    "Badge",
    "ClosedDay",
    "Counter",
    "Cutter",
    "Gauge",
    "GaugeFault",
    "HouseRules",
    "Invitation",
    "NeedsQualification",
    "Person",
    "PinTry",
    "Qualification",
    "Session",
    "Shift",
    "Stage",
    "Station",
    "Tablet",
]
