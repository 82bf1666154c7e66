"""What is released when, and by when would a new order be finished?"""

from travelers.planning.queries.release.asked import asked
from travelers.planning.queries.release.asking import (
    Answer,
    Goes,
    Wish,
    answer,
    days_to_promise,
)
from travelers.planning.queries.release.ground import ground
from travelers.planning.queries.release.page import (
    ReleasePage,
    ReleaseRow,
    kept_leads,
    release_page,
)
from travelers.planning.queries.release.plan import planned
from travelers.planning.queries.release.promised import KeptPromise, kept_promises
from travelers.planning.queries.release.told import told

__all__ = [
    "Answer",
    "Goes",
    "KeptPromise",
    "ReleasePage",
    "ReleaseRow",
    "Wish",
    "answer",
    "asked",
    "days_to_promise",
    "ground",
    "kept_leads",
    "kept_promises",
    "planned",
    "release_page",
    "told",
]
