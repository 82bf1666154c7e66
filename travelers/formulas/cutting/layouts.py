"""Where do the pieces of the sections lie on the plank, and what is left of it?"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from travelers.formulas.cutting.saws import (
    UNITS_A_MM,
    First,
    Offcut,
    Part,
    Place,
    Plank,
    Section,
    units,
)
from travelers.formulas.cutting.stages import Found


@dataclass(frozen=True, slots=True)
class Laid:
    """Sets, sections and rests of one order of cuts, and how many cuts it takes."""

    first: First
    sets: tuple[int, ...]
    sections: tuple[Section, ...]
    offcuts: tuple[Offcut, ...]
    cuts: int


class _Table:
    """A plank on the saw: turns "along" and "across" into the plank's x and y."""

    def __init__(self, plank: Plank, parts: Sequence[Part], first: First) -> None:
        self.turned = first is First.RIP
        self.parts = parts
        length, width = plank.room
        self.along, self.across = (width, length) if self.turned else (length, width)
        trims = units(plank.end_trim_mm), units(plank.edge_trim_mm)
        self.begin = trims[::-1] if self.turned else trims
        self.cut: Counter[int] = Counter()

    def size(self, part: int) -> tuple[int, int]:
        sizes = units(self.parts[part].length_mm), units(self.parts[part].width_mm)
        return sizes[::-1] if self.turned else sizes

    def box(self, along: int, across: int, size: tuple[int, int]) -> list[float]:
        """Say x, y, length and width in mm of what begins there in the room."""
        at = (along + self.begin[0], across + self.begin[1])
        if self.turned:
            at, size = at[::-1], size[::-1]
        return [value / UNITS_A_MM for value in (*at, *size)]

    def place(self, part: int, along: int, across: int) -> Place:
        """Put the next piece of a part; sets are of pieces that lie near each other."""
        number = self.cut[part]
        self.cut[part] += 1
        which, piece = divmod(number, self.parts[part].pieces)
        box = self.box(along, across, self.size(part))
        return Place(part, which + 1, piece + 1, *box)


def lay_out(
    plank: Plank, parts: Sequence[Part], kerf: int, first: First, found: Found
) -> Laid:
    """Lay sections out from the near left corner, the longest first."""
    table = _Table(plank, parts, first)
    sections, offcuts = [], []
    cuts = at = 0
    for along, counts in sorted(found.sections, reverse=True):
        row = [part for part, number in enumerate(counts) for _ in range(number)]
        row.sort(key=lambda part: (-table.size(part)[0], part))
        section, rests, more = _section(table, row, at, along, kerf)
        sections.append(section)
        offcuts += rests
        cuts += more
        at += along + kerf
        cuts += at - kerf < table.along
    offcuts += _rest(table, at, 0, (table.along - at, table.across))
    offcuts.sort(key=lambda rest: -rest.area_mm2)
    return Laid(first, found.sets, tuple(sections), tuple(offcuts), cuts)


def _section(
    table: _Table, row: Sequence[int], at: int, along: int, kerf: int
) -> tuple[Section, list[Offcut], int]:
    """Lay pieces side by side; say the rests and the cuts of this section."""
    places: list[Place] = []
    rests: list[Offcut] = []
    cuts = beside = 0
    for part in row:
        size = table.size(part)
        places.append(table.place(part, at, beside))
        short = along - size[0]
        rests += _rest(table, at + size[0] + kerf, beside, (short - kerf, size[1]))
        beside += size[1] + kerf
        cuts += (short > 0) + (beside - kerf < table.across)
    rests += _rest(table, at, beside, (along, table.across - beside))
    x, y, length, width = table.box(at, 0, (along, table.across))
    return Section(x, y, length, width, tuple(places)), rests, cuts


def _rest(
    table: _Table, along: int, across: int, size: tuple[int, int]
) -> Iterator[Offcut]:
    if min(size) > 0:
        yield Offcut(*table.box(along, across, size))
