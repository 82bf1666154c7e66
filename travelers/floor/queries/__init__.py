"""What is known of the floor?"""

from travelers.floor.queries.benches import (
    bench_of,
    closed_step,
    count_again,
    find_bench,
    find_place,
    held_of,
    is_open_hold,
    known_event,
    mates_of,
    notes_of,
    open_steps,
    told_of,
)
from travelers.floor.queries.checks import CheckScene, check_scene
from travelers.floor.queries.holds import Stop, open_holds
from travelers.floor.queries.instruments import (
    InstrumentPage,
    find_instruments,
    instrument_page,
)
from travelers.floor.queries.judging import judge_step
from travelers.floor.queries.lists import MOST_LISTED, Listed, Several, several
from travelers.floor.queries.loads import InLoad, LoadNow, find_load, lock_loads
from travelers.floor.queries.pulse import pulse
from travelers.floor.queries.scenes import Scene, scene_of
from travelers.floor.queries.stations import Idle, idle
from travelers.floor.queries.tags import (
    LONGEST_SHOWN,
    Tag,
    Unread,
    find_tag,
    unread,
    why_unread,
)

__all__ = [
    "LONGEST_SHOWN",
    "MOST_LISTED",
    "CheckScene",
    "Idle",
    "InLoad",
    "InstrumentPage",
    "Listed",
    "LoadNow",
    "Scene",
    "Several",
    "Stop",
    "Tag",
    "Unread",
    "bench_of",
    "check_scene",
    "closed_step",
    "count_again",
    "find_bench",
    "find_instruments",
    "find_load",
    "find_place",
    "find_tag",
    "held_of",
    "idle",
    "instrument_page",
    "is_open_hold",
    "judge_step",
    "known_event",
    "lock_loads",
    "mates_of",
    "notes_of",
    "open_holds",
    "open_steps",
    "pulse",
    "scene_of",
    "several",
    "told_of",
    "unread",
    "why_unread",
]
