"""Where is everything on the floor: the shop drawn as a fingerboard on its side?

Strings are the branches, frets the stages from the nut (left) to the bridge
(right).  Every part in work is a mark on its string; where marks crowd, work is
queueing, and a nought says that a station starves.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil
from types import MappingProxyType

from travelers.kit.drawing import letters, marks
from travelers.kit.drawing.board_plan import Fret, Plan, Spot, Strand, lay_out
from travelers.kit.drawing.board_wood import wood
from travelers.kit.drawing.marks import ON_FLOOR, Look
from travelers.kit.drawing.pen import num, picture, tag, text, words
from travelers.kit.refusals import gettext_noop

__all__ = ["BoardWords", "Cell", "Fret", "Look", "Strand", "board"]

RADIUS = 3.8
PITCH = 9.0
ROWS = 8
MOST_MARKS = 40
LOOK_WORDS: Mapping[Look, str] = MappingProxyType(
    {
        Look.WAITING: gettext_noop("waiting"),
        Look.IN_WORK: gettext_noop("in work"),
        Look.DWELLING: gettext_noop("drying or curing"),
        Look.HELD: gettext_noop("held"),
        Look.SCRAPPED: gettext_noop("scrapped"),
        Look.DONE: gettext_noop("done"),
        Look.TO_COME: gettext_noop("to come"),
        Look.VOID: gettext_noop("left out"),
    }
)


@dataclass(frozen=True, slots=True)
class Cell:
    """What is on one strand at one stage; ``href`` leads to the parts."""

    strand: str
    fret: str
    counts: Mapping[Look, int]
    href: str = ""

    @property
    def total(self) -> int:
        return sum(self.counts.get(look, 0) for look in ON_FLOOR)


@dataclass(frozen=True, slots=True)
class BoardWords:
    """The words on the board, in the reader's language; braces are filled in."""

    title: str = gettext_noop("The floor")
    desc: str = gettext_noop(
        "Strings are branches, frets are stages from lumber to test play."
    )
    cell: str = gettext_noop("{strand}, {fret}: {n}")
    scale: str = gettext_noop("One mark stands for up to {n} parts.")
    looks: Mapping[Look, str] = field(default_factory=lambda: LOOK_WORDS)


def board(
    cells: Iterable[Cell],
    frets: Sequence[Fret],
    strings: Sequence[Strand],
    *,
    words_: BoardWords | None = None,
) -> str:
    """Draw the floor.

    A part whose stage its strand does not reach (a finished guitar sent back to
    a stage before the neck joint) is counted at the joint, where the strand
    begins or ends.
    """
    said = words_ or BoardWords()
    plan = lay_out(frets, strings)
    placed = _placed(cells, plan)
    scale = _scale(placed)
    drawn = [wood(plan), *(_cell(s, c, scale, plan, said) for s, c in placed)]
    drawn.append(_legend(plan, scale, said))
    linked = any(cell.href for _, cell in placed)
    return picture(
        *drawn,
        box=(plan.wide, plan.high),
        title=said.title,
        desc=said.desc,
        # A picture's inside is hidden from screen readers, links and all.
        role="group" if linked else "img",
        class_="fb",
    )


def _placed(cells: Iterable[Cell], plan: Plan) -> list[tuple[Spot, Cell]]:
    merged: dict[tuple[str, str], Cell] = {}
    for cell in cells:
        if any(n < 0 for n in cell.counts.values()):
            raise ValueError(f"A count below nought at {cell.strand}, {cell.fret}.")
        fret = plan.reach(cell.strand, cell.fret)
        there = merged.get((cell.strand, fret))
        counts = {
            look: cell.counts.get(look, 0) + (there.counts.get(look, 0) if there else 0)
            for look in ON_FLOOR
        }
        href = there.href if there and there.href else cell.href
        merged[cell.strand, fret] = Cell(cell.strand, fret, counts, href)
    return [(plan.spot(*at), cell) for at, cell in merged.items()]


def _room(spot: Spot) -> int:
    """How many marks a cell holds at most."""
    return min(MOST_MARKS, _across(spot) * ROWS)


def _across(spot: Spot) -> int:
    return max(3, int((spot.wide - 3) / PITCH))


def _scale(placed: list[tuple[Spot, Cell]]) -> int:
    """How many parts one mark stands for: the same all over the board, so that
    crowding can be compared from cell to cell."""
    step = 1
    while True:
        for scale in (step, 2 * step, 5 * step):
            if all(_marks_in(c, scale) <= _room(s) for s, c in placed):
                return scale
        step *= 10


def _marks_in(cell: Cell, scale: int) -> int:
    return sum(ceil(cell.counts.get(look, 0) / scale) for look in ON_FLOOR)


def _cell(spot: Spot, cell: Cell, scale: int, plan: Plan, said: BoardWords) -> str:
    told = _told(cell, plan, said)
    inside = [
        tag("title", words(told)),
        tag(
            "rect",
            x=spot.x - spot.wide / 2 + 1.5,
            y=spot.y - 68,
            width=spot.wide - 3,
            height=108,
            fill="none",
            pointer_events="all",
            class_="fb-cell",
        ),
        *_pile(spot, cell, scale),
        text(
            spot.x,
            spot.y - 48,
            str(cell.total),
            20 if cell.total else 15,
            text_anchor="middle",
            font_weight=700 if cell.total else 400,
            fill=marks.INK,
            class_="fb-count" if cell.total else "fb-nought",
        ),
        *_underline(spot, cell),
    ]
    if not cell.href:
        return tag("g", *inside)
    return tag("a", *inside, href=cell.href, aria_label=told, class_="fb-link")


def _told(cell: Cell, plan: Plan, said: BoardWords) -> str:
    head = said.cell.format(
        strand=plan.strand_name(cell.strand),
        fret=plan.fret_name(cell.fret),
        n=cell.total,
    )
    each = [
        f"{said.looks[look]} {cell.counts[look]}"
        for look in ON_FLOOR
        if cell.counts.get(look)
    ]
    return f"{head} ({', '.join(each)})" if each else head


def _pile(spot: Spot, cell: Cell, scale: int) -> list[str]:
    """Pile the marks about the string: in work foremost, towards the bridge."""
    queue = [
        look
        for look in reversed(ON_FLOOR)
        for _ in range(ceil(cell.counts.get(look, 0) / scale))
    ]
    if not queue:
        return []
    rows = ceil(len(queue) / _across(spot))
    columns = ceil(len(queue) / rows)
    left = spot.x - (columns - 1) * PITCH / 2
    at: dict[Look, list[tuple[float, float]]] = {}
    for i, look in enumerate(queue):
        column, row = divmod(i, rows)
        # The last column may be short; it too is centred on the string.
        deep = min(rows, len(queue) - column * rows)
        y = spot.y + (row - (deep - 1) / 2) * PITCH
        at.setdefault(look, []).append((left + column * PITCH, y))
    cleared = marks.ground([p for ps in at.values() for p in ps], RADIUS + 1.2)
    return [cleared, *(marks.shapes(look, ps, RADIUS) for look, ps in at.items())]


def _underline(spot: Spot, cell: Cell) -> list[str]:
    """Underline the number, shared out among the looks; colour says no more than
    the marks do."""
    if not cell.total:
        return []
    whole = min(spot.wide - 14, 34.0)
    x = spot.x - whole / 2
    drawn = []
    for look in reversed(ON_FLOOR):
        wide = whole * cell.counts.get(look, 0) / cell.total
        if wide:
            edge = f"fb-edge edge-{marks.slug(look)}"
            drawn.append(
                tag("rect", x=x, y=spot.y - 43, width=wide, height=3, class_=edge)
            )
        x += wide
    return drawn


def _legend(plan: Plan, scale: int, said: BoardWords) -> str:
    y = plan.high - 12
    x = plan.nut
    drawn = []
    for look in ON_FLOOR:
        drawn.append(marks.shapes(look, [(x + 6, y - 5)], 5.5))
        drawn.append(text(x + 17, y, said.looks[look], 14, class_="fb-name"))
        x += 17 + letters.width(said.looks[look], 14) + 22
    if scale > 1:
        told = said.scale.format(n=num(scale))
        drawn.append(
            text(plan.bridge, y, told, 14, text_anchor="end", class_="fb-name")
        )
    return tag("g", *drawn)
