"""What is typed when rooms are read, the flow is asked for, or a release planned?"""

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
from travelers.planning.forms.release import (
    AcceptForm,
    AskForm,
    RulesForm,
    chosen_of,
    signed,
    unsigned,
)
from travelers.planning.forms.what_if import WhatIfForm

__all__ = [
    "CLOCKS",
    "MOST_READINGS",
    "AcceptForm",
    "AirForm",
    "AirList",
    "AskForm",
    "FlowForm",
    "LoggerForm",
    "MeterForm",
    "OvenForm",
    "RulesForm",
    "WhatIfForm",
    "WorkshopForm",
    "air_list",
    "chosen_of",
    "packed",
    "signed",
    "unpacked",
    "unsigned",
    "zone_of",
]
