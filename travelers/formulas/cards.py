"""Which command does a printed card give, and which code stands on it?"""

from enum import StrEnum

from travelers.formulas import codes

KIND = "C"
"""The first character of every command card's code."""


class Command(StrEnum):
    """What a card at a station can say; a screen's element names it to be pressed."""

    START = "START"
    DONE = "DONE"
    LOAD = "LOAD"
    TAKE_OUT = "TAKE_OUT"
    DEFECT = "DEFECT"
    HOLD = "HOLD"
    UNDO = "UNDO"
    YES = "YES"
    NO = "NO"
    OK = "OK"
    CLEAR = "CLEAR"
    NEXT = "NEXT"
    LIST = "LIST"
    POINT = "POINT"
    MINUS = "MINUS"
    DIGIT_0 = "DIGIT_0"
    DIGIT_1 = "DIGIT_1"
    DIGIT_2 = "DIGIT_2"
    DIGIT_3 = "DIGIT_3"
    DIGIT_4 = "DIGIT_4"
    DIGIT_5 = "DIGIT_5"
    DIGIT_6 = "DIGIT_6"
    DIGIT_7 = "DIGIT_7"
    DIGIT_8 = "DIGIT_8"
    DIGIT_9 = "DIGIT_9"
    MINOR = "MINOR"
    MAJOR = "MAJOR"
    STOP = "STOP"
    REASON_WOOD = "REASON_WOOD"
    REASON_SIZE = "REASON_SIZE"
    REASON_SURFACE = "REASON_SURFACE"
    REASON_PART = "REASON_PART"
    REASON_MACHINE = "REASON_MACHINE"
    REASON_ASK = "REASON_ASK"


DIGITS = tuple(Command(f"DIGIT_{digit}") for digit in range(10))
SEVERITIES = (Command.MINOR, Command.MAJOR, Command.STOP)
REASONS = tuple(each for each in Command if each.startswith("REASON_"))

# Cards hang on walls for years: a number is given once and never to another command.
_NUMBERS = {
    Command.START: 1,
    Command.DONE: 2,
    Command.LOAD: 3,
    Command.TAKE_OUT: 4,
    Command.DEFECT: 5,
    Command.HOLD: 6,
    Command.UNDO: 7,
    Command.YES: 8,
    Command.NO: 9,
    Command.OK: 10,
    Command.CLEAR: 11,
    Command.NEXT: 12,
    Command.LIST: 13,
    Command.POINT: 14,
    Command.MINUS: 15,
    **{digit: 20 + number for number, digit in enumerate(DIGITS)},
    **{severity: 30 + number for number, severity in enumerate(SEVERITIES)},
    **{reason: 40 + number for number, reason in enumerate(REASONS)},
}
_CODES = {command: codes.make(number, KIND) for command, number in _NUMBERS.items()}
_COMMANDS = {code: command for command, code in _CODES.items()}


def code_of(command: Command) -> str:
    """Give the code that stands on a command's card.

    Parameters
    ----------
    command : Command
        One of the closed list.

    Returns
    -------
    str
        A tag code of the kind C, as `codes.make` makes it; the same for ever.

    Examples
    --------
    >>> code_of(Command.START)
    'C000010E'
    """
    return _CODES[command]


def command_of(code: str) -> Command | None:
    """Say which command a code gives.

    Parameters
    ----------
    code : str
        A bare code, as `codes.parse` gives it.

    Returns
    -------
    Command or None
        None for every code that is not on a command card.

    Examples
    --------
    >>> command_of(code_of(Command.LIST))
    <Command.LIST: 'LIST'>
    >>> command_of("P000010F") is None
    True
    """
    return _COMMANDS.get(code)
