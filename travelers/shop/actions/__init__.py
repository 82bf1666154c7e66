"""What is given out, who is let in, and by what is somebody known?"""

from travelers.shop.actions.counting import take_codes, take_numbers
from travelers.shop.actions.cutters import change_cutter
from travelers.shop.actions.gauges import find_gauge_bad, put_gauge_back
from travelers.shop.actions.giving import (
    give_number,
    issue_badges,
    new_secret,
    revoke_badge,
)
from travelers.shop.actions.house import decide_overdue_gauges, decide_workshop_air
from travelers.shop.actions.knowing import known_by, lift_pause, who_is
from travelers.shop.actions.skills import ask_for_skill, qualify, stop_asking
from travelers.shop.actions.tablets import (
    Enrolled,
    Invited,
    enrol_tablet,
    invite_tablet,
    revoke_tablet,
)

__all__ = [
    "Enrolled",
    "Invited",
    "ask_for_skill",
    "change_cutter",
    "decide_overdue_gauges",
    "decide_workshop_air",
    "enrol_tablet",
    "find_gauge_bad",
    "give_number",
    "invite_tablet",
    "issue_badges",
    "known_by",
    "lift_pause",
    "new_secret",
    "put_gauge_back",
    "qualify",
    "revoke_badge",
    "revoke_tablet",
    "stop_asking",
    "take_codes",
    "take_numbers",
    "who_is",
]
