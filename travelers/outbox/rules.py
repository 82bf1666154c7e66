"""What may come out of a tablet's store, and when did it happen?  Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from travelers.floor.rules.machine import Wish
from travelers.kit.refusals import gettext_noop, refusal

# What one sending may hold; a tablet with more sends more often.
MOST_RECORDS = 200

PASS_WRONG = refusal(
    "outbox.pass_wrong",
    gettext_noop("It cannot be told who did this: the page does not prove it."),
    gettext_noop("Whoever did it signs in and does it again, or tells the lead."),
    status=403,
)
PASS_OUTDATED = refusal(
    "outbox.pass_outdated",
    gettext_noop("This was done at {done_at}; who was signed in then is not known."),
    gettext_noop("Show it to the lead, who knows who stood there."),
    status=403,
)
UNREADABLE = refusal(
    "outbox.unreadable",
    gettext_noop("This entry came in damaged and cannot be read."),
    gettext_noop("Do it again at the station, or tell the lead what it was."),
    status=422,
)
NO_STATION = refusal(
    "outbox.no_station",
    gettext_noop("There is no station {station} any more."),
    gettext_noop("Scan the part at the station where it is now."),
    status=404,
)
FAULT = refusal(
    "outbox.fault",
    gettext_noop("The shop's computer stumbled over this entry and put it aside."),
    gettext_noop("Scan the part and look; if the step is still open, do it again."),
)
TOO_MANY = refusal(
    "outbox.too_many",
    gettext_noop("Too many entries came in one piece."),
    gettext_noop("Send them in smaller pieces; nothing was recorded."),
    status=422,
)
NOT_LET_IN = refusal(
    "outbox.not_let_in",
    gettext_noop("Nobody is signed in here, and this is no tablet of the shop."),
    gettext_noop("Sign in; what waits is kept and sent then."),
    status=403,
)
SEEN_ALREADY = refusal(
    "outbox.seen_already",
    gettext_noop("{person} saw to this on {seen_at}."),
    gettext_noop("Nothing is left to do here."),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One press as a tablet kept it.

    ``given`` is what its form held, ``said`` what of it the ledger is told, ``claim``
    the whole as it came but for its pass.
    """

    id: UUID
    number: int | None
    made_at: datetime
    offset: timedelta
    carried: str
    wish: Wish
    given: Mapping[str, Any]
    said: Mapping[str, Any]
    typed: str
    claim: Any


@dataclass(frozen=True, slots=True)
class Damaged:
    """An entry that cannot be read, with its own id or one made of what it says."""

    id: UUID
    claim: Any


@dataclass(frozen=True, slots=True)
class When:
    """When something happened: mended, and as the tablet's clock said it."""

    happened_at: datetime
    tablet_at: datetime


def mend(
    made_at: datetime,
    offset: timedelta,
    *,
    heard_at: datetime,
    not_before: datetime | None = None,
) -> When:
    """Say when something happened, by a tablet's clock and how far that is off.

    ``offset`` is what must be added to the tablet's clock.  Nothing happens after
    it was heard of, nor before ``not_before``: what the same tablet did before it,
    or the beginning of what it ends.
    """
    happened_at = min(made_at + offset, heard_at)
    if not_before is not None:
        happened_at = max(happened_at, min(not_before, heard_at))
    return When(happened_at, made_at)
