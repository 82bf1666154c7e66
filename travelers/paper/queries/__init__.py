"""What stands on each paper?"""

from travelers.paper.queries.badges import Badge, BadgeSheet, badge_sheet
from travelers.paper.queries.commands import Card, CommandSheet, command_cards
from travelers.paper.queries.containments import (
    ContainmentSheet,
    containment_sheet,
)
from travelers.paper.queries.digest import Digest, LateRow, digest_now
from travelers.paper.queries.entry import (
    Choice,
    PaperBranch,
    PaperLine,
    PaperSheet,
    paper_sheet,
)
from travelers.paper.queries.labels import (
    BatchSheet,
    LabelSheet,
    PartTag,
    TagSheet,
    WoodLabel,
    batch_label,
    order_tags,
    part_tag,
    piece_labels,
    plank_labels,
)
from travelers.paper.queries.lines import (
    Caution,
    Done,
    Dot,
    Entry,
    RouteSheet,
    Section,
    Tag,
    Told,
    Traveler,
)
from travelers.paper.queries.loads import LoadRow, LoadSheet, load_sheet
from travelers.paper.queries.plans import PlanSheet, plan_sheet
from travelers.paper.queries.records import (
    RecordSheet,
    Repeated,
    Swapped,
    Wood,
    build_record,
)
from travelers.paper.queries.reworks import ReworkSheet, rework_sheet
from travelers.paper.queries.stations import (
    CardSheet,
    StationCard,
    station_card,
    station_cards,
)
from travelers.paper.queries.studies import StudyCard, StudySheet, study_cards
from travelers.paper.queries.travelers import order_serials, travelers

__all__ = [
    "Badge",
    "BadgeSheet",
    "BatchSheet",
    "Card",
    "CardSheet",
    "Caution",
    "Choice",
    "CommandSheet",
    "ContainmentSheet",
    "Digest",
    "Done",
    "Dot",
    "Entry",
    "LabelSheet",
    "LateRow",
    "LoadRow",
    "LoadSheet",
    "PaperBranch",
    "PaperLine",
    "PaperSheet",
    "PartTag",
    "PlanSheet",
    "RecordSheet",
    "Repeated",
    "ReworkSheet",
    "RouteSheet",
    "Section",
    "StationCard",
    "StudyCard",
    "StudySheet",
    "Swapped",
    "Tag",
    "TagSheet",
    "Told",
    "Traveler",
    "Wood",
    "WoodLabel",
    "badge_sheet",
    "batch_label",
    "build_record",
    "command_cards",
    "containment_sheet",
    "digest_now",
    "load_sheet",
    "order_serials",
    "order_tags",
    "paper_sheet",
    "part_tag",
    "piece_labels",
    "plan_sheet",
    "plank_labels",
    "rework_sheet",
    "station_card",
    "station_cards",
    "study_cards",
    "travelers",
]
