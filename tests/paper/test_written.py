"""Is a time on paper read as it was meant, and asked about where it is not clear?"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from travelers.kit.refusals import Refusal
from travelers.paper.rules import written
from travelers.paper.rules.written import Setting, no_such_initials, read_moment

BERLIN = ZoneInfo("Europe/Berlin")
RELEASED = datetime(2024, 1, 8, 7, 30, 40, tzinfo=UTC)
SETTING = Setting(BERLIN, datetime(2026, 11, 3, 15, 0, tzinfo=BERLIN), RELEASED)
ABOVE = datetime(2026, 11, 2, 23, 50, tzinfo=BERLIN)


def read(text: str, *, above: datetime | None = ABOVE, which: str = "") -> str:
    """Give the local time that was read, or the code of what is asked."""
    at = read_moment(text, setting=SETTING, above=above, which=which)
    if isinstance(at, Refusal):
        return at.code
    assert at.tzinfo is not None
    return at.astimezone(BERLIN).strftime("%Y-%m-%d %H:%M %z")


@pytest.mark.parametrize(
    "text",
    [
        "3.11. 14:20",
        "3.11 14:20",
        "03.11.2026 14:20",
        "3.11.26, 14:20",
        " 3. 11.  14:20 ",
        "2026-11-03 14:20",
        "2026-11-03T14:20",
        "2026-11-03T14:20:59",
        "2026-11-03T14:20+01:00",
        "2026-11-03T13:20Z",
    ],
)
def test_the_forms_that_people_write(text: str) -> None:
    assert read(text) == "2026-11-03 14:20 +0100"
    assert read(text, above=None) == "2026-11-03 14:20 +0100"


def test_a_clock_alone_takes_the_day_of_the_line_above() -> None:
    assert read("23:55") == "2026-11-02 23:55 +0100"
    assert read("23:50") == "2026-11-02 23:50 +0100"
    assert read("14:20", above=None) == "paper.time_no_day"


def test_after_midnight_the_day_is_asked_for_not_guessed() -> None:
    assert read("0:10") == "paper.time_back"
    assert read("3.11. 0:10") == "2026-11-03 00:10 +0100"
    assert read("24:00") == "2026-11-03 00:00 +0100"
    assert read("2.11. 24:00") == "2026-11-03 00:00 +0100"


def test_a_day_without_a_year_is_the_latest_that_has_been() -> None:
    assert read("4.11. 8:00") == "2025-11-04 08:00 +0100"
    assert read("31.12. 8:00") == "2025-12-31 08:00 +0100"
    assert read("1.1. 8:00") == "2026-01-01 08:00 +0100"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("3.11.", "paper.time_no_clock"),
        ("2026-11-03", "paper.time_no_clock"),
        ("31.6. 8:00", "paper.time_not_there"),
        ("11/3 14:20", "paper.time_unreadable"),
        ("3.13. 8:00", "paper.time_not_there"),
        ("25:00", "paper.time_not_there"),
        ("24:01", "paper.time_not_there"),
        ("8:60", "paper.time_not_there"),
        ("0000-11-03 8:00", "paper.time_not_there"),
        ("half past two", "paper.time_unreadable"),
        ("1420", "paper.time_unreadable"),
        ("\uff11\uff14:20", "paper.time_unreadable"),
        ("3.11. 14:20 " + "x" * 90, "paper.time_unreadable"),
        ("3.11. 15:01", "paper.time_to_come"),
        ("2026-11-04 8:00", "paper.time_to_come"),
        ("8.1.2024 8:29", "paper.time_before_release"),
        ("1.1.2019 8:00", "paper.time_before_release"),
    ],
)
def test_what_is_no_time_that_can_be_is_refused(text: str, code: str) -> None:
    assert read(text) == code


def test_the_minute_of_the_release_is_not_before_it() -> None:
    assert read("8.1.2024 8:30") == "2024-01-08 08:30 +0100"


def test_the_hour_that_was_skipped_is_none() -> None:
    """R17: on 29 March 2026 the clocks of Berlin went from 2:00 to 3:00."""
    assert read("29.3. 1:59") == "2026-03-29 01:59 +0100"
    assert read("29.3. 2:30") == "paper.time_skipped"
    assert read("29.3. 3:00") == "2026-03-29 03:00 +0200"


def test_the_hour_that_was_twice_is_asked() -> None:
    """R17: on 25 October 2026 the clocks went from 3:00 back to 2:00."""
    assert read("25.10. 2:30") == "paper.time_twice"
    assert read("25.10. 2:30", which="FIRST") == "2026-10-25 02:30 +0200"
    assert read("25.10. 2:30", which="SECOND") == "2026-10-25 02:30 +0100"
    assert read("25.10. 2:30", which="perhaps") == "paper.time_twice"
    assert read("2026-10-25T02:30+01:00") == "2026-10-25 02:30 +0100"
    assert read("25.10. 1:59") == "2026-10-25 01:59 +0200"
    assert read("25.10. 3:00") == "2026-10-25 03:00 +0100"


def test_unknown_initials_name_who_has_near_ones() -> None:
    known = [("MO", "Marta"), ("MC", "Mateus"), ("KB", "Kwame")]
    near = no_such_initials("mq", known)
    assert near.code == written.INITIALS_NEAR.code
    assert "MO (Marta)" in near.words["near"]
    assert "Kwame" not in near.words["near"]
    assert no_such_initials("zz", known).code == written.INITIALS_UNKNOWN.code
