"""What has a screen seen, and until when is that true?"""

from datetime import UTC, datetime, timedelta

import pytest

from travelers.kit.news import AT_THE_LATEST, end_of_day, is_seen, seen_word

AT = datetime(2026, 3, 10, 8, 30, tzinfo=UTC)
SOON = AT + timedelta(seconds=90, microseconds=1)


def test_a_word_holds_until_the_soonest_change_and_no_longer() -> None:
    later, past = AT + timedelta(hours=1), AT - timedelta(hours=1)
    word = seen_word("7.1-3.2", at=AT, changes=(later, None, past, SOON))
    assert is_seen(word, pulse="7.1-3.2", at=AT)
    assert is_seen(word, pulse="7.1-3.2", at=AT + timedelta(seconds=90))
    assert not is_seen(word, pulse="7.1-3.2", at=AT + timedelta(seconds=91))


def test_what_makes_no_word_is_asked_about_anew_all_the_same() -> None:
    word = seen_word("7", at=AT, changes=(AT + timedelta(days=9),))
    last = timedelta(seconds=1)
    assert is_seen(word, pulse="7", at=AT + AT_THE_LATEST - last)
    assert not is_seen(word, pulse="7", at=AT + AT_THE_LATEST)


def test_another_pulse_is_news_at_once() -> None:
    assert not is_seen(seen_word("7", at=AT), pulse="8", at=AT)


@pytest.mark.parametrize("word", ["", "7", "7-", "7-x", "7-²", f"7-{'9' * 5000}", "-"])
def test_what_is_no_word_has_seen_nothing(word: str) -> None:
    assert not is_seen(word, pulse="7", at=AT)


def test_the_day_ends_by_the_shops_clock() -> None:
    """The day on which clocks go forward in Berlin is an hour shorter."""
    assert end_of_day(datetime(2026, 3, 28, 22, 59, tzinfo=UTC)) == datetime(
        2026, 3, 28, 23, 0, tzinfo=UTC
    )
    assert end_of_day(datetime(2026, 3, 28, 23, 0, tzinfo=UTC)) == datetime(
        2026, 3, 29, 22, 0, tzinfo=UTC
    )
