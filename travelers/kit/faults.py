"""Which fault of the database is said in words, and which is worth another try?"""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

from django.db import DatabaseError, InterfaceError, OperationalError, connection

from travelers.kit.refusals import RECORDS_AWAY, RECORDS_BUSY, RECORDS_FULL, Refusal

P = ParamSpec("P")
Result = TypeVar("Result")

# Tried so often in all, where two verbs locked what the other wanted.
TRIES = 3

# Primary result codes of SQLite, https://www.sqlite.org/rescode.html: BUSY, LOCKED,
# PROTOCOL; READONLY, IOERR, FULL; CANTOPEN.
OF_SQLITE = {
    5: RECORDS_BUSY,
    6: RECORDS_BUSY,
    15: RECORDS_BUSY,
    8: RECORDS_FULL,
    10: RECORDS_FULL,
    13: RECORDS_FULL,
    14: RECORDS_AWAY,
}
# PostgreSQL's, https://www.postgresql.org/docs/current/errcodes-appendix.html.
SERIALIZATION_FAILURE, DEADLOCK_DETECTED = "40001", "40P01"
OF_POSTGRESQL = {
    SERIALIZATION_FAILURE: RECORDS_BUSY,
    DEADLOCK_DETECTED: RECORDS_BUSY,
    "55P03": RECORDS_BUSY,  # lock_not_available, after lock_timeout
    "53100": RECORDS_FULL,  # disk_full
    "58030": RECORDS_FULL,  # io_error
    "25006": RECORDS_FULL,  # read_only_sql_transaction
    "53300": RECORDS_AWAY,  # too_many_connections
}
# Connection exceptions, and a server that shuts down or is not ready yet.
AWAY_CLASSES = ("08", "57P")


def refusal_of(fault: BaseException | None) -> Refusal | None:
    """Give the words for a database that cannot store just now.

    None is for every other fault: those are slips of ours and must be seen as such.
    """
    if not isinstance(fault, DatabaseError | InterfaceError):
        return None
    cause = fault.__cause__
    if (number := getattr(cause, "sqlite_errorcode", None)) is not None:
        # The low byte of an extended code is the primary one.
        return OF_SQLITE.get(number & 0xFF)
    if state := _state(fault):
        if state.startswith(AWAY_CLASSES):
            return RECORDS_AWAY
        return OF_POSTGRESQL.get(state)
    # No word came from the server: it could not be reached, or not in time.
    is_lost = isinstance(fault, OperationalError | InterfaceError)
    return RECORDS_AWAY if is_lost else None


def _met(fault: BaseException) -> bool:
    """Say whether a verb only met another one, and may do it once more."""
    if isinstance(fault, Overtaken):
        return True
    return _state(fault) in (SERIALIZATION_FAILURE, DEADLOCK_DETECTED)


def _state(fault: BaseException) -> str:
    return getattr(fault.__cause__, "sqlstate", None) or ""


class Overtaken(Exception):
    """What a verb looked up before its lock was another's when it had it."""


def tried_again(verb: Callable[P, Result]) -> Callable[P, Result]:
    """Do a verb again when the database chose it to break a deadlock.

    So too when it was overtaken: what it waited to lock is no longer what it wanted.
    All of it was taken back, so that it can be done as if for the first time.  Inside
    another verb it is not repeated: what that one did before is taken back as well,
    and it is the one to begin again.
    """

    @wraps(verb)
    def again(*args: P.args, **kwargs: P.kwargs) -> Result:
        for _ in range(TRIES - 1):
            try:
                return verb(*args, **kwargs)
            except (OperationalError, Overtaken) as fault:
                if connection.in_atomic_block or not _met(fault):
                    raise
        return verb(*args, **kwargs)

    return again
