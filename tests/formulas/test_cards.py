"""Is a command card unmistakable, and known alike to the server and to the page?"""

import re
from pathlib import Path

import pytest

from travelers.formulas import codes
from travelers.formulas.cards import Command, code_of, command_of

SCRIPT = Path("travelers/kit/static/kit/cards.js")


def test_every_command_has_a_code_of_its_own_kind() -> None:
    made = {code_of(command) for command in Command}
    assert len(made) == len(Command)
    assert {code[0] for code in made} == {"C"}
    assert all(codes.parse(code) == code for code in made)
    assert [command_of(code_of(command)) for command in Command] == list(Command)


def test_codes_on_the_walls_never_change() -> None:
    """Printed once, they hang for years."""
    assert {name: code_of(Command(name)) for name in PRINTED} == PRINTED


PRINTED = {
    "START": "C000010E",
    "DONE": "C000020A",
    "LOAD": "C0000306",
    "TAKE_OUT": "C0000402",
    "DEFECT": "C000050Z",
    "HOLD": "C000060V",
    "UNDO": "C000070R",
    "YES": "C000080N",
    "NO": "C000090J",
    "OK": "C0000A0F",
    "CLEAR": "C0000B0B",
    "NEXT": "C0000C07",
    "LIST": "C0000D03",
    "DIGIT_0": "C0000M04",
    "DIGIT_9": "C0000X1S",
    "STOP": "C000100A",
    "REASON_ASK": "C0001D0W",
}


@pytest.mark.parametrize("command", Command)
def test_a_card_is_read_in_any_case_from_any_host_and_never_as_a_part(
    command: Command,
) -> None:
    code = code_of(command)
    for text in (code, code.lower(), codes.grouped(code), codes.link(code).lower()):
        assert command_of(codes.parse(text)) is command
    for kind in "PWSKHGQD":
        with pytest.raises(codes.NotACode):
            codes.parse(kind + code[1:])


def test_no_other_code_is_a_command() -> None:
    assert command_of("P000010F") is None
    assert command_of("") is None
    assert command_of(codes.make(999, "C")) is None


def test_the_page_knows_the_same_cards() -> None:
    script = SCRIPT.read_text(encoding="utf-8")
    known = dict(re.findall(r'^    (C\w{7}): "(\w+)",$', script, re.MULTILINE))
    assert known == {code_of(command): command.value for command in Command}
