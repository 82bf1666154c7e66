"""What came of a thing, and what did it come of?"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from travelers.kit.refusals import gettext_noop, refusal


class Kind(StrEnum):
    """What a trace can begin at or come to."""

    DELIVERY = "DELIVERY"
    PLANK = "PLANK"
    PLANK_SET = "PLANK_SET"
    LOAD = "LOAD"
    GAUGE = "GAUGE"
    BATCH = "BATCH"
    SERIAL = "SERIAL"
    CUTTER = "CUTTER"
    STATION_DAY = "STATION_DAY"
    DEFECT = "DEFECT"
    PART = "PART"
    INSTRUMENT = "INSTRUMENT"


@dataclass(frozen=True, slots=True, order=True)
class Thing:
    """One thing: its kind, and its number among those of its kind.

    The number of a station's day is the station's number and the day's date, that of a
    bought piece its material's number and its maker's serial number.
    """

    kind: Kind
    id: str


# From a thing to one that came of it, or that it came of.
Edge = tuple[Thing, Thing]
# Asked for many things at once, since one question costs as much as a hundred.
Step = Callable[[Sequence[Thing]], Iterable[Edge]]


@dataclass(frozen=True, slots=True)
class Web:
    """All that a trace came to, and from where; the start is not among it."""

    start: Thing
    found: tuple[Thing, ...]
    next_of: Mapping[Thing, tuple[Thing, ...]]

    def of(self, kind: Kind) -> tuple[Thing, ...]:
        return tuple(thing for thing in self.found if thing.kind is kind)

    def beyond(self, thing: Thing) -> frozenset[Thing]:
        """Give all that a trace from a thing of this web comes to."""
        seen: set[Thing] = set()
        ahead = list(self.next_of.get(thing, ()))
        while ahead:
            one = ahead.pop()
            if one not in seen:
                seen.add(one)
                ahead.extend(self.next_of.get(one, ()))
        return frozenset(seen)


def walk(start: Thing, step: Step) -> Web:
    """Go from a thing as far as its edges lead, a layer of things at a time."""
    seen = {start}
    layer: list[Thing] = [start]
    next_of: dict[Thing, tuple[Thing, ...]] = {}
    while layer:
        ways: dict[Thing, dict[Thing, None]] = {}
        for here, there in step(layer):
            ways.setdefault(here, {})[there] = None
        next_of |= {here: tuple(there) for here, there in ways.items()}
        layer = []
        for some in ways.values():
            new = [one for one in some if one not in seen]
            seen.update(new)
            layer += new
    return Web(start, tuple(sorted(seen - {start})), next_of)


NOTHING_TO_CONTAIN = refusal(
    "quality.nothing_to_contain",
    gettext_noop("Nothing that came of it is here any more to be held."),
    gettext_noop("What has left the house is in the list; write to who has it."),
)
NOTHING_CALLED = refusal(
    "quality.nothing_called",
    gettext_noop("“{text}” is no number, code or name here, and no part of one."),
    gettext_noop("Compare it with the tag, or type only what of it you are sure of."),
    status=404,
)
NOTHING_TRACED = refusal(
    "quality.nothing_traced",
    gettext_noop("Nothing here is called {text}."),
    gettext_noop(
        "Scan a tag, or type the number of an instrument, set, plank or delivery."
    ),
    status=404,
)
