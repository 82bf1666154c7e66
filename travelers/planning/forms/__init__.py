"""What is typed when a room's air or the moisture of wood is read?"""

from travelers.planning.forms.air import AirForm, LoggerForm, WorkshopForm
from travelers.planning.forms.air_list import (
    CLOCKS,
    MOST_READINGS,
    AirList,
    air_list,
    packed,
    unpacked,
    zone_of,
)
from travelers.planning.forms.moisture import MeterForm, OvenForm
from travelers.planning.forms.what_if import WhatIfForm

__all__ = [
    "CLOCKS",
    "MOST_READINGS",
    "AirForm",
    "AirList",
    "LoggerForm",
    "MeterForm",
    "OvenForm",
    "WhatIfForm",
    "WorkshopForm",
    "air_list",
    "packed",
    "unpacked",
    "zone_of",
]
