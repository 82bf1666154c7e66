"""What came of a thing, what did it come of, and where is all of it today?"""

from travelers.quality.queries.trace.edges import Edges
from travelers.quality.queries.trace.names import (
    Named,
    find_thing,
    names_of,
    search,
)
from travelers.quality.queries.trace.pages import (
    Counts,
    TracePage,
    Twig,
    descend,
    trace_page,
    twigs_of,
)
from travelers.quality.queries.trace.reach import Reach, ToHold, name_of, reach_of

__all__ = [
    "Counts",
    "Edges",
    "Named",
    "Reach",
    "ToHold",
    "TracePage",
    "Twig",
    "descend",
    "find_thing",
    "name_of",
    "names_of",
    "reach_of",
    "search",
    "trace_page",
    "twigs_of",
]
