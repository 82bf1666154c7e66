"""Where on a traveler does a pen write, and how large are the boxes for it?"""

from collections.abc import Sequence
from dataclasses import dataclass

from travelers.kit.drawing import letters
from travelers.kit.drawing.pen import num, picture, tag, text
from travelers.routes.rules import Check, CheckKind

# A style sheet's pixel is 1/96 inch; all else is in mm.
PX = 96 / 25.4
LINE, HIGH = 0.2, 5.8
# The room beside a check's words, under them, and across the sheet.
BESIDE, UNDER, ACROSS = 26.0, 69.0, 184.8
# How wide a box must be to take a tick, a count, a measured value.
LEAST = {CheckKind.JUDGED: 5.0, CheckKind.COUNTED: 8.0, CheckKind.MEASURED: 8.6}
ALONE, MOST = 17.2, 13.8
# How wide a box must be for the number of a piece.
NUMBER = 23.0
# More places than this do not fit under the words in one row.
MOST_UNDER = 8
CORNER, WRITTEN = 1.9, 2.6


@dataclass(frozen=True, slots=True)
class Form:
    """How many boxes stand in a row, and how wide each is."""

    columns: int
    wide: float


def is_beside(check: Check) -> bool:
    """Say whether a check's boxes have room beside its words."""
    return check.places * LEAST[check.kind] <= BESIDE


def is_broad(check: Check) -> bool:
    """Say whether the boxes beside its words need more than the usual room."""
    return check.places > 1 and check.places * LEAST[check.kind] > ALONE


def is_across(check: Check) -> bool:
    """Say whether a check, as one of every fret, needs a row of its own."""
    return check.places > MOST_UNDER


def form_of(check: Check) -> Form:
    """Choose the boxes of a check of several places."""
    if is_beside(check):
        return Form(check.places, LEAST[check.kind])
    if is_across(check):
        return spread(check.places, ACROSS / 24, ACROSS)
    return spread(check.places, LEAST[check.kind], UNDER)


def spread(count: int, least: float, room: float, most: float = MOST) -> Form:
    """Spread boxes over as few and as even rows as the room allows."""
    rows = -(-count // int(room / least))
    columns = -(-count // rows)
    return Form(columns, min(room / columns, most))


def boxes(
    corners: Sequence[str], told: str, *, form: Form, written: Sequence[str] = ()
) -> str:
    """Draw boxes with a small word in the corner of each, and what is written in."""
    inset = LINE / 2
    places = [(x + inset, y + inset) for x, y in _places(len(corners), form)]
    wide, high = num(form.wide), num(HIGH)
    lines = "".join(f"M{num(x)} {num(y)}h{wide}v{high}h-{wide}z" for x, y in places)
    small = [
        text(x + 0.6, y + 2.1, letters.clip(word, CORNER, form.wide - 1), CORNER)
        for word, (x, y) in zip(corners, places, strict=True)
        if word
    ]
    inside = [
        text(x, y, word, WRITTEN)
        for word, (x, y) in zip(written, written_at(len(written), form), strict=True)
        if word
    ]
    rows = -(-len(corners) // form.columns)
    box = (form.columns * form.wide + LINE, rows * HIGH + LINE)
    return picture(
        tag("path", d=lines, fill="none", stroke="#000", stroke_width=LINE),
        *small,
        *inside,
        box=box,
        size=(box[0] * PX, box[1] * PX),
        title=told,
        class_="boxes",
    )


def turn_form(count: int) -> Form:
    """Choose the boxes of an operation that is done several times."""
    return spread(count, UNDER / 5, UNDER)


def written_at(count: int, form: Form) -> list[tuple[float, float]]:
    """Say where in each box somebody writes, from the corner of the picture."""
    inset = LINE / 2
    return [(x + inset + 2.4, y + inset + 5) for x, y in _places(count, form)]


def _places(count: int, form: Form) -> list[tuple[float, float]]:
    turns = [divmod(place, form.columns) for place in range(count)]
    return [(column * form.wide, row * HIGH) for row, column in turns]
