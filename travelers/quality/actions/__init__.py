"""How does a defect get on record, what is decided, what is held, what answered?"""

from travelers.quality.actions.charting import Answered, answer_signal, choose_base
from travelers.quality.actions.containing import Asked, contain, let_go
from travelers.quality.actions.defects import decide, report_defect
from travelers.quality.actions.studies import (
    Planned,
    begin_study,
    call_study_off,
    note_study_value,
    number_study_part,
    take_study_value_back,
)
from travelers.quality.actions.verifying import verify

__all__ = [
    "Answered",
    "Asked",
    "Planned",
    "answer_signal",
    "begin_study",
    "call_study_off",
    "choose_base",
    "contain",
    "decide",
    "let_go",
    "note_study_value",
    "number_study_part",
    "report_defect",
    "take_study_value_back",
    "verify",
]
