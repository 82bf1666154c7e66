"""Is a database that cannot store said in words, and a deadlock tried again?"""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import Any

import psycopg
import pytest
from django.db import (
    DatabaseError,
    IntegrityError,
    InterfaceError,
    OperationalError,
    connection,
    transaction,
)
from django.http import HttpResponse
from django.test import Client, RequestFactory

from travelers.kit import faults
from travelers.kit.middleware import RETRY_AFTER_S, fault
from travelers.kit.refusals import RECORDS_AWAY, RECORDS_BUSY, RECORDS_FULL, Refusal


def of_sqlite(number: int) -> OperationalError:
    cause = sqlite3.OperationalError("from SQLite")
    cause.sqlite_errorcode = number
    return caused(OperationalError("from SQLite"), cause)


def of_postgresql(state: str | None) -> OperationalError:
    cause = psycopg.errors.lookup(state)() if state else psycopg.OperationalError()
    return caused(OperationalError("from PostgreSQL"), cause)


def caused(fault: Any, cause: Exception) -> Any:
    fault.__cause__ = cause
    return fault


@pytest.mark.parametrize(
    ("fault", "refusal"),
    [
        (of_sqlite(sqlite3.SQLITE_BUSY), RECORDS_BUSY),
        (of_sqlite(sqlite3.SQLITE_LOCKED), RECORDS_BUSY),
        (of_sqlite(sqlite3.SQLITE_FULL), RECORDS_FULL),
        (of_sqlite(sqlite3.SQLITE_IOERR_WRITE), RECORDS_FULL),
        (of_sqlite(sqlite3.SQLITE_READONLY), RECORDS_FULL),
        (of_sqlite(sqlite3.SQLITE_CANTOPEN), RECORDS_AWAY),
        (of_sqlite(sqlite3.SQLITE_ERROR), None),
        (of_postgresql("55P03"), RECORDS_BUSY),
        (of_postgresql("40P01"), RECORDS_BUSY),
        (of_postgresql("53100"), RECORDS_FULL),
        (of_postgresql("57P01"), RECORDS_AWAY),
        (of_postgresql("57P03"), RECORDS_AWAY),
        (of_postgresql("08006"), RECORDS_AWAY),
        (of_postgresql("42P01"), None),
        (of_postgresql(None), RECORDS_AWAY),
        (InterfaceError("the connection is closed"), RECORDS_AWAY),
        (IntegrityError("twice"), None),
        (DatabaseError("whatever"), None),
        (ValueError("a slip"), None),
        (None, None),
    ],
)
def test_only_what_no_code_of_ours_can_help_is_said_in_words(
    fault: BaseException | None, refusal: Refusal | None
) -> None:
    assert faults.refusal_of(fault) == refusal


@pytest.fixture
def broken(db: None) -> Iterator[Callable[[Exception], None]]:
    """Let every question to the database end in a fault."""
    with ExitStack() as stack:

        def break_it(fault: Exception) -> None:
            def refuse(*_: object) -> None:
                raise fault

            stack.enter_context(connection.execute_wrapper(refuse))

        yield break_it


@pytest.mark.parametrize(
    ("fault", "status", "code"),
    [
        (of_sqlite(sqlite3.SQLITE_BUSY), 503, "kit.records_busy"),
        (of_sqlite(sqlite3.SQLITE_FULL), 507, "kit.records_full"),
        (of_postgresql(None), 503, "kit.records_away"),
    ],
)
@pytest.mark.parametrize("form", ["page", "piece", "json"])
def test_a_fault_is_answered_in_place_without_the_database(
    broken: Callable[[Exception], None],
    client: Client,
    fault: Exception,
    status: int,
    code: str,
    form: str,
) -> None:
    """The session is read before any view, so that the fault comes from there."""
    headers = {"page": {}, "piece": {"HX-Request": "true"}}.get(
        form, {"Accept": "application/json"}
    )
    client.cookies["sessionid"] = "a" * 32
    client.raise_request_exception = False
    broken(fault)
    answer: Any = client.post("/station/SAW/wish/", headers=headers)
    assert answer.status_code == status
    assert answer.headers["Retry-After"] == str(RETRY_AFTER_S)
    if form == "json":
        told = answer.json()
        assert told["code"] == code
        assert told["sentence"].endswith("not stored.")
        assert told["remedy"].startswith("Keep the part here")
        return
    text = answer.content.decode()
    assert code in text
    assert "not stored." in text
    assert ("<html" in text) is (form == "page")
    assert answer.headers["HX-Reswap"] == "afterbegin"


def test_a_screen_that_asks_by_itself_is_told_quietly(
    broken: Callable[[Exception], None], client: Client
) -> None:
    client.cookies["sessionid"] = "a" * 32
    client.raise_request_exception = False
    broken(of_postgresql(None))
    assert b"kit.records_unread" in client.get("/board/").content
    asked: dict[str, Any] = {"headers": {"HX-Request": "true"}}
    assert b"data-shop-answer" in client.get("/station/SAW/?code=P", **asked).content
    quiet = client.get("/station/SAW/?seen=7", **asked).content
    assert b"data-shop-answer" not in quiet
    assert b"data-shop-fault" in quiet


def test_a_slip_of_ours_stays_a_plain_500(
    client: Client, rf: RequestFactory, db: None
) -> None:
    try:
        raise ValueError("a slip")
    except ValueError:
        answer: HttpResponse = fault(rf.get("/"))
    assert answer.status_code == 500
    assert "Retry-After" not in answer.headers


class Verb:
    """A verb that fails a few times before it is done."""

    def __init__(self, fault: Exception, times: int) -> None:
        self.fault, self.times, self.tried = fault, times, 0

    def __call__(self) -> str:
        self.tried += 1
        if self.tried <= self.times:
            raise self.fault
        return "done"

    __name__ = "verb"


@pytest.mark.proof("R11")
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("state", ["40001", "40P01"])
def test_r11_a_verb_that_met_another_is_tried_three_times(state: str) -> None:
    """R11: serialization failures and deadlocks are tried thrice at most."""
    for times, tried in ((0, 1), (1, 2), (2, 3)):
        verb = Verb(of_postgresql(state), times)
        assert faults.tried_again(verb)() == "done"
        assert verb.tried == tried
    verb = Verb(of_postgresql(state), 3)
    with pytest.raises(OperationalError):
        faults.tried_again(verb)()
    assert verb.tried == 3


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    "fault",
    [of_sqlite(sqlite3.SQLITE_BUSY), of_postgresql("55P03"), ValueError("a slip")],
)
def test_r11_no_other_fault_is_tried_again(fault: Exception) -> None:
    verb = Verb(fault, 1)
    with pytest.raises(type(fault)):
        faults.tried_again(verb)()
    assert verb.tried == 1


@pytest.mark.django_db(transaction=True)
def test_r11_a_verb_inside_another_leaves_it_to_that_one() -> None:
    verb = Verb(of_postgresql("40P01"), 1)
    with pytest.raises(OperationalError), transaction.atomic():
        faults.tried_again(verb)()
    assert verb.tried == 1
