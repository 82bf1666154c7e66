"""Which hidden cause of defects may a lived history have?"""

from dataclasses import dataclass
from enum import StrEnum

from travelers.routes.rules import Line


class Bad(StrEnum):
    """What is bad: nothing, or one of the things that parts meet."""

    NOTHING = "NOTHING"
    DELIVERY = "DELIVERY"
    PLANK = "PLANK"
    LOAD = "LOAD"
    GLUE = "GLUE"
    CUTTER = "CUTTER"
    GAUGE = "GAUGE"
    LACQUER = "LACQUER"


@dataclass(frozen=True, slots=True)
class Cause:
    """What is bad, and in which share of the parts that met it a defect shows."""

    bad: Bad
    share: float

    def shows_at(self, line: Line) -> str:
        """Give the kind of defect that shows at an operation, or nothing."""
        code, operations = SHOWS[self.bad]
        return code if line.name in operations else ""


# What looking for things in common has to find where nothing else is asked for: bodies
# of one delivery, glued up, come apart more often than others.
USUAL = Cause(Bad.DELIVERY, 0.30)
GLUED = ("Read moisture before machining", "Surface the blank")
# Wood that is no good for gluing, was too wet for it, or was called dry and was not;
# glue and lacquer that do not set as they should; a cutter that was worn from the
# first. No source, the demo's own.
SHOWS: dict[Bad, tuple[str, tuple[str, ...]]] = {
    Bad.NOTHING: ("", ()),
    Bad.DELIVERY: ("OPEN_GLUE", GLUED),
    Bad.PLANK: ("OPEN_GLUE", GLUED),
    Bad.LOAD: ("OPEN_GLUE", GLUED),
    Bad.GLUE: ("OPEN_GLUE", GLUED),
    Bad.CUTTER: ("TEAR_OUT", ("Cut outline, pocket and cavities",)),
    Bad.LACQUER: ("ORANGE_PEEL", ("Wet-sand flat",)),
    Bad.GAUGE: ("CUP", ("Surface the blank",)),
}
