"""What is typed when a room's air or moisture is read, or the flow is asked for?"""

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
from travelers.planning.forms.flow import FlowForm
from travelers.planning.forms.moisture import MeterForm, OvenForm
from travelers.planning.forms.what_if import WhatIfForm

__all__ = [
    "CLOCKS",
    "MOST_READINGS",
    "AirForm",
    "AirList",
    "FlowForm",
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
