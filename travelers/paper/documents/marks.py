"""How is what is done on an instrument written over the lines that many share?"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from django.utils import formats
from django.utils.translation import gettext

from travelers.kit.drawing.pen import picture, text
from travelers.kit.words import label
from travelers.paper.documents import boxes
from travelers.paper.documents.boxes import PX
from travelers.paper.queries import Done, Entry, Traveler
from travelers.paper.rules import Size

# As .done of the style sheet: how large, how high the line, and where in it the
# letters stand (the typeface's ascent and descent in parts of its size).
SIZE_MM, LINE_MM = 2.8, 3.4
ASCENT, DESCENT = 0.984, 0.316
BASE_MM = (LINE_MM - (ASCENT + DESCENT) * SIZE_MM) / 2 + ASCENT * SIZE_MM
SHEETS_MM = {Size.A4: (210.0, 297.0), Size.LETTER: (215.9, 279.4)}
# Of each element with an id: on which sheet it is, and its corner in pixels.
Places = Mapping[str, tuple[int, float, float]]


@dataclass(frozen=True, slots=True)
class Word:
    x: float
    y: float
    said: str
    size: float


@dataclass(frozen=True, slots=True)
class Marks:
    """What is written over one sheet, and the same in a sentence."""

    words: tuple[Word, ...]
    told: str


def marks_of(traveler: Traveler, places: Places, count: int) -> tuple[Marks, ...]:
    """Write what is done on each of a traveler's sheets."""
    lines = {
        entry.key: entry
        for section in traveler.route.sections
        for entry in section.entries
    }
    words: list[list[Word]] = [[] for _ in range(count)]
    told: list[list[str]] = [[] for _ in range(count)]
    for done in traveler.done:
        entry = lines[done.key]
        kind = "turns" if len(done.days) > 1 else "done"
        sheet = places[f"{kind}-{done.key}"][0]
        words[sheet] += _coats(done, places) if kind == "turns" else _line(done, places)
        told[sheet].append(_told(entry, done))
    return tuple(
        Marks(tuple(some), "; ".join(said))
        for some, said in zip(words, told, strict=True)
    )


def drawn(marks: Marks, size: Size) -> str:
    """Draw what is written over a sheet as one picture of its size."""
    wide, high = SHEETS_MM[size]
    return picture(
        *(text(word.x, word.y, word.said, word.size) for word in marks.words),
        box=(wide * PX, high * PX),
        title=gettext("Done: {lines}").format(lines=marks.told),
        class_="marks",
    )


def day(on: date | None) -> str:
    return formats.date_format(on, "j M") if on else ""


def _line(done: Done, places: Places) -> Iterator[Word]:
    for kind, said in (("done", gettext("done")), ("day", day(done.days[0]))):
        _, x, y = places[f"{kind}-{done.key}"]
        yield Word(x, y + BASE_MM * PX, said, SIZE_MM * PX)


def _coats(done: Done, places: Places) -> Iterator[Word]:
    _, left, top = places[f"turns-{done.key}"]
    form = boxes.turn_form(len(done.days))
    for on, (x, y) in zip(
        done.days, boxes.written_at(len(done.days), form), strict=True
    ):
        if on:
            yield Word(left + x * PX, top + y * PX, day(on), boxes.WRITTEN * PX)


def _told(entry: Entry, done: Done) -> str:
    on = ", ".join(day(one) for one in done.days if one)
    return f"{label(entry.line.branch)} {entry.line.number} {on}"
