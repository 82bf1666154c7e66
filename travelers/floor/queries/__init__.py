"""What is known of the floor?"""

from travelers.floor.queries.anew import compute_anew, steps_of
from travelers.floor.queries.benches import (
    began_by,
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
    words_of_last_refusal,
)
from travelers.floor.queries.checks import CheckScene, check_scene
from travelers.floor.queries.corrections import (
    LastPress,
    Undoing,
    UndoPage,
    find_elsewhere,
    find_undoing,
    last_press,
    step_of_event,
    taking_of,
    undo_page,
)
from travelers.floor.queries.holds import Stop, open_hold_ids, open_holds
from travelers.floor.queries.instruments import (
    InstrumentPage,
    find_instruments,
    instrument_page,
)
from travelers.floor.queries.judging import judge_step
from travelers.floor.queries.leads import Lead, leads
from travelers.floor.queries.lists import MOST_LISTED, Listed, Several, several
from travelers.floor.queries.loads import InLoad, LoadNow, find_load, lock_loads
from travelers.floor.queries.losses import Loss, held_since, lifted_after, losses
from travelers.floor.queries.measured import Measured, Tally, measured, tallies
from travelers.floor.queries.measures import Measure, Value, last_read, swaps_in
from travelers.floor.queries.met import gauges_met, loads_met, stations_met
from travelers.floor.queries.pulse import pulse
from travelers.floor.queries.scenes import Scene, scene_of
from travelers.floor.queries.skills import is_qualified
from travelers.floor.queries.stations import Idle, idle
from travelers.floor.queries.swapping import SwapPage, swap_page
from travelers.floor.queries.swaps import (
    at_hand,
    holds_on,
    lock_both,
    side_of,
    went_to,
)
from travelers.floor.queries.tags import (
    LONGEST_SHOWN,
    Tag,
    Unread,
    find_tag,
    unread,
    why_unread,
)
from travelers.floor.queries.touched import (
    LoadNamed,
    gauges_of_parts,
    loads_named,
    loads_of_parts,
    parts_in_loads,
    parts_measured,
    parts_worked,
    work_of_parts,
)
from travelers.floor.queries.waiting import Waits, Wanted, waiting
from travelers.floor.queries.wood import (
    keeps_until,
    still_moves,
    wood_fault,
    wood_faults,
)

__all__ = [
    "LONGEST_SHOWN",
    "MOST_LISTED",
    "CheckScene",
    "Idle",
    "InLoad",
    "InstrumentPage",
    "LastPress",
    "Lead",
    "Listed",
    "LoadNamed",
    "LoadNow",
    "Loss",
    "Measure",
    "Measured",
    "Scene",
    "Several",
    "Stop",
    "SwapPage",
    "Tag",
    "Tally",
    "UndoPage",
    "Undoing",
    "Unread",
    "Value",
    "Waits",
    "Wanted",
    "at_hand",
    "began_by",
    "bench_of",
    "check_scene",
    "closed_step",
    "compute_anew",
    "count_again",
    "find_bench",
    "find_elsewhere",
    "find_instruments",
    "find_load",
    "find_place",
    "find_tag",
    "find_undoing",
    "gauges_met",
    "gauges_of_parts",
    "held_of",
    "held_since",
    "holds_on",
    "idle",
    "instrument_page",
    "is_open_hold",
    "is_qualified",
    "judge_step",
    "keeps_until",
    "known_event",
    "last_press",
    "last_read",
    "leads",
    "lifted_after",
    "loads_met",
    "loads_named",
    "loads_of_parts",
    "lock_both",
    "lock_loads",
    "losses",
    "mates_of",
    "measured",
    "notes_of",
    "open_hold_ids",
    "open_holds",
    "open_steps",
    "parts_in_loads",
    "parts_measured",
    "parts_worked",
    "pulse",
    "scene_of",
    "several",
    "side_of",
    "stations_met",
    "step_of_event",
    "steps_of",
    "still_moves",
    "swap_page",
    "swaps_in",
    "taking_of",
    "tallies",
    "told_of",
    "undo_page",
    "unread",
    "waiting",
    "went_to",
    "why_unread",
    "wood_fault",
    "wood_faults",
    "words_of_last_refusal",
    "work_of_parts",
]
