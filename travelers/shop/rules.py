"""Which roles are there, and by what is somebody known at a tablet?  Pure."""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum
from itertools import pairwise

from travelers.formulas.codes import ALPHABET
from travelers.kit.refusals import Refusal, gettext_noop, refusal


class Role(StrEnum):
    OPERATOR = "operator"
    LEAD = "lead"
    PLANNER = "planner"
    QA = "qa"
    ROUTE_ENGINEER = "route_engineer"
    ADMIN = "admin"


class OverdueGauges(StrEnum):
    """What becomes of a reading whose gauge is out of calibration."""

    REFUSE = "REFUSE"
    MARK = "MARK"


# The air of a workshop that says nothing else (common practice, no source).
WORKSHOP_C, WORKSHOP_PCT = Decimal(20), Decimal(50)
# Whoever has some role here; somebody without one sees nothing.
EVERYBODY = tuple(Role)


def is_out(
    due_on: date, bad_since: datetime | None, *, day: date, at: datetime
) -> bool:
    """Say whether a gauge may not be trusted at a moment, which falls on ``day``."""
    return due_on < day or (bad_since is not None and bad_since <= at)


class Work(StrEnum):
    """The kinds of operations that a qualification can be asked for."""

    WORK = "WORK"
    HOLD = "HOLD"
    INSPECT = "INSPECT"
    JOIN = "JOIN"


# Who says which work asks for a qualification, and who has it.
SKILL_KEEPERS = (Role.LEAD,)

# RFC 4648 base 32, which a QR symbol holds densely: 26 of them are 130 bits.
BADGE_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
BADGE_LENGTH = 26
# No empty segment in the path, or two scans run together would pass for the second.
_BADGE = re.compile(
    rf"(?:https?://[^/\s]+(?:/[^/\s]+)*?/B/)?([A-Z2-7]{{{BADGE_LENGTH}}})",
    re.IGNORECASE | re.ASCII,
)
# An invitation is read off one screen and typed at another: 40 bits that live for
# minutes.
INVITATION_LETTERS = ALPHABET
INVITATION_LENGTH = 8
INVITED_FOR = timedelta(minutes=15)
_CONFUSED = str.maketrans("OILU", "011V")
NUMBER = re.compile(r"[0-9]{4}", re.ASCII)
PIN = re.compile(r"[0-9]{6}", re.ASCII)
MOST_FAILURES = 5
PAUSE = timedelta(minutes=5)


def digest_of(secret: str) -> str:
    """Give what is kept of a secret of ours: it is long, so that nobody guesses it."""
    return hashlib.sha256(secret.encode()).hexdigest()


def read_badge(text: str) -> str:
    """Give the secret in what was scanned, or nothing where it is no badge."""
    found = _BADGE.fullmatch(text.strip())
    return found[1].upper() if found else ""


def read_invitation(text: str) -> str:
    """Give the code in what was scanned or typed, as it was made."""
    code = text.strip().rpartition("#")[2].upper().replace("-", "").replace(" ", "")
    return code.translate(_CONFUSED)


def is_easy(pin: str) -> bool:
    """Say whether a PIN is one digit again and again, or digits in a row."""
    steps = {int(b) - int(a) for a, b in pairwise(pin)}
    return steps in ({0}, {1}, {-1})


# The page signs out after the idle time.  The server does it for a page that cannot,
# and later, since it does not see who works at a tablet that is cut off for a while.
GRACE = timedelta(minutes=5)
# How exactly the list of tablets says when one was heard last.
HEARD_EVERY = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Tries:
    """How often the PIN of a number was wrong at a tablet, and when last."""

    failures: int
    last_at: datetime

    def is_paused(self, at: datetime) -> bool:
        return self.failures >= MOST_FAILURES and at < self.last_at + PAUSE

    def one_more(self, at: datetime) -> int:
        """Count a further failure; after a pause the count begins anew."""
        return 1 if at >= self.last_at + PAUSE else self.failures + 1


def may_give(by_roles: Iterable[Role], to_roles: Iterable[Role]) -> Refusal | None:
    """Say whether somebody may give another a badge or a PIN.

    A lead who could do so for QA could sign as QA.
    """
    if Role.ADMIN in by_roles or set(to_roles) <= {Role.OPERATOR, Role.LEAD}:
        return None
    return GIVEN_BY_ADMIN


WORKSHOP_KEEPERS = (Role.LEAD, Role.QA)
WORKSHOP_CANNOT_BE = refusal(
    "shop.workshop_cannot_be",
    gettext_noop("No workshop has {warm} °C at a humidity of {damp} %."),
    gettext_noop("Give 5 to 40 °C and 5 to 95 %, as the hygrometer shows them."),
    status=422,
)
# One sentence for a number that nobody has, a wrong PIN, one that is paused, and a
# device that was never let in, so that nobody can find out numbers by trying.
# Whoever works at a station changes its cutters.
CHANGES_CUTTERS = (Role.OPERATOR, Role.LEAD, Role.QA)
GAUGE_BAD_ALREADY = refusal(
    "shop.gauge_bad_already",
    gettext_noop("{gauge} was found bad already, on {found_at}."),
    gettext_noop("Look at what it measured; after its calibration put it back."),
)
GAUGE_NOT_BAD = refusal(
    "shop.gauge_not_bad",
    gettext_noop("{gauge} is in use; it was not found bad."),
    gettext_noop("Load the page again."),
)
GAUGE_GOOD_LATER = refusal(
    "shop.gauge_good_later",
    gettext_noop("A gauge that is bad today was not known to be good on {day}."),
    gettext_noop("Give the day of the last calibration that found it good."),
    status=422,
)
GAUGE_DATES_CANNOT_BE = refusal(
    "shop.gauge_dates_cannot_be",
    gettext_noop("A calibration on {day}, due again on {due}, does not put it back."),
    gettext_noop("Give the calibration after it was found bad, and a later due day."),
    status=422,
)
CUTTER_RUNS_ALREADY = refusal(
    "shop.cutter_runs_already",
    gettext_noop("Cutter {number} runs at {head} already."),
    gettext_noop("Type the number that is engraved on the new one."),
)
NOT_KNOWN = refusal(
    "shop.not_known",
    gettext_noop("This number and PIN do not open anything here."),
    gettext_noop(
        "Type both again, or scan your badge. After {most} tries wait {minutes} "
        "minutes, or ask the lead."
    ),
    status=403,
).about(most=str(MOST_FAILURES), minutes=str(PAUSE // timedelta(minutes=1)))
BADGE_NOT_KNOWN = refusal(
    "shop.badge_not_known",
    gettext_noop("This badge does not open anything here."),
    gettext_noop("Type your number and PIN, or ask the lead for a new badge."),
    status=403,
)
NOT_A_BADGE = refusal(
    "shop.not_a_badge",
    gettext_noop("“{code}” is no badge, and nobody is signed in."),
    gettext_noop("Scan your badge first, then the part again."),
    status=403,
)
TABLET_REVOKED = refusal(
    "shop.tablet_revoked",
    gettext_noop("This tablet is no longer let in."),
    gettext_noop("Ask the lead for a code and let it in again."),
    status=403,
)
INVITATION_SPENT = refusal(
    "shop.invitation_spent",
    gettext_noop("{code} lets no tablet in: it is mistyped, used, or too old."),
    gettext_noop("Compare it with the lead's screen, or ask for a new one."),
    status=422,
)
TABLET_NAME_TAKEN = refusal(
    "shop.tablet_name_taken",
    gettext_noop("There is a tablet called {name} already."),
    gettext_noop("Give this one another name, or leave the name empty."),
    status=422,
)
OTHER_STATION = refusal(
    "shop.other_station",
    gettext_noop("This tablet belongs to {station} and opens that station only."),
    gettext_noop("Go on here, or use the tablet that hangs at the other station."),
    status=403,
)
NOT_AT_TABLETS = refusal(
    "shop.not_at_tablets",
    gettext_noop("This tablet opens the screens of {station} only."),
    gettext_noop("Do this at a desk, signed in with your password."),
    status=403,
)
GIVEN_BY_ADMIN = refusal(
    "shop.given_by_admin",
    gettext_noop("{person} has duties whose badge and PIN only an admin gives out."),
    gettext_noop("Ask an admin to do it."),
    status=403,
)
NUMBER_TAKEN = refusal(
    "shop.number_taken",
    gettext_noop("The number {number} is somebody else's."),
    gettext_noop("Choose another; the free one that is offered will do."),
    status=422,
)
PIN_EASY = refusal(
    "shop.pin_easy",
    gettext_noop("Guessers begin with one digit six times and with digits in a row."),
    gettext_noop("Choose six digits that follow no such pattern."),
    status=422,
)
