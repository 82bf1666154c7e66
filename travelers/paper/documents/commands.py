"""How are the command cards of a station printed, with a sign for each command?"""

from dataclasses import dataclass

from django.utils import translation
from django.utils.translation import gettext

from travelers.formulas.cards import Command
from travelers.kit.drawing import outlines
from travelers.kit.drawing.pen import picture, tag, text
from travelers.kit.drawing.zones import ZONES
from travelers.kit.words import label
from travelers.paper.documents.pictures import TINTS
from travelers.paper.documents.press import Press
from travelers.paper.queries import CommandSheet
from travelers.paper.rules import Printing

# Lines in a square of 100, drawn with a broad pen; our own, from what hands do.
SIGNS = {
    Command.START: "M30 16L80 50L30 84z",
    Command.DONE: "M14 54L40 80L88 20",
    Command.LOAD: "M14 56V88H86V56M50 8V62M30 44L50 64L70 44",
    Command.TAKE_OUT: "M14 56V88H86V56M50 68V12M30 32L50 12L70 32",
    Command.DEFECT: "M58 6L34 44H58L40 94L76 36H52z",
    Command.HOLD: "M32 14V86M68 14V86",
    Command.UNDO: "M34 20L12 42L34 64M14 42H62C92 42 92 86 62 86H40",
    Command.YES: "M50 6A44 44 0 1 1 49 6M28 52L44 68L72 36",
    Command.NO: "M50 6A44 44 0 1 1 49 6M34 34L66 66M66 34L34 66",
    Command.OK: "M86 16V56H20M40 34L18 56L40 78",
    Command.CLEAR: "M36 16H92V84H36L8 50zM50 36L78 64M78 36L50 64",
    Command.NEXT: "M10 50H84M58 22L86 50L58 78",
    Command.LIST: "M36 22H90M36 50H90M36 78H90M12 22H18M12 50H18M12 78H18",
    Command.MINOR: "M50 38A12 12 0 1 1 49 38",
    Command.MAJOR: "M50 26A24 24 0 1 1 49 26",
    Command.STOP: "M34 8H66L92 34V66L66 92H34L8 66V34zM30 50H70",
}
# Of these the word itself is the sign, as it stands on the key.
WRITTEN = {
    Command.POINT: ".",
    Command.MINUS: "−",
    **{Command(f"DIGIT_{digit}"): str(digit) for digit in range(10)},
}


@dataclass(frozen=True, slots=True)
class Printed:
    """The cards and what is written at the foot of their sheets."""

    title: str
    sheet: CommandSheet
    printing: Printing | None = None


def command_cards(*, sheet: CommandSheet, printing: Printing | None = None) -> bytes:
    """Print the cards of a station, sheet by sheet."""
    with translation.override(sheet.language):
        title = gettext("Command cards: {name}").format(name=sheet.name)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/commands.css")
        return Press(*styles).print(
            "paper/commands.html", Printed(title, sheet, printing)
        )


def sign_of_command(command: str) -> str:
    """Draw what a card does; nothing where its word says it best."""
    told = label(command)
    box = (100, 100)
    if command in WRITTEN:
        word = text(50, 82, WRITTEN[Command(command)], 96, font_weight=700,
                    text_anchor="middle")  # fmt: skip
        return picture(word, box=box, title=told, class_="sign-of-work")
    if command not in SIGNS:
        return ""
    line = tag("path", d=SIGNS[Command(command)], fill="none", stroke="#000",
               stroke_width=9, stroke_linecap="round",
               stroke_linejoin="round")  # fmt: skip
    return picture(line, box=box, title=told, class_="sign-of-work")


def zones_drawn(part: str, shape: str, told: str) -> str:
    """Draw an outline in black on white, with a number in each zone."""
    marks = [(x, y, number) for number, (x, y) in enumerate(ZONES[part], start=1)]
    drawn = outlines.outline(part, shape, marks, title=told)
    for tint in TINTS:
        drawn = drawn.replace(f'"{tint}"', '"#fff"')
    return drawn
