"""Which roles are there, and by what is somebody known at a tablet?  Pure."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from travelers.formulas.codes import ALPHABET
from travelers.kit.refusals import gettext_noop, refusal


class Role(StrEnum):
    OPERATOR = "operator"
    LEAD = "lead"
    PLANNER = "planner"
    QA = "qa"
    ROUTE_ENGINEER = "route_engineer"
    ADMIN = "admin"


# Whoever has some role here; somebody without one sees nothing.
EVERYBODY = tuple(Role)


class Work(StrEnum):
    """The kinds of operations that a qualification can be asked for."""

    WORK = "WORK"
    HOLD = "HOLD"
    INSPECT = "INSPECT"
    JOIN = "JOIN"


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
    steps = {int(b) - int(a) for a, b in zip(pin, pin[1:], strict=False)}
    return steps in ({0}, {1}, {-1})


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


# One sentence for a number that nobody has, a wrong PIN, one that is paused, and a
# device that was never let in, so that nobody can find out numbers by trying.
NOT_KNOWN = refusal(
    "shop.not_known",
    gettext_noop("This number and PIN do not open anything here."),
    gettext_noop(
        "Type both again, or scan your badge. After {most} tries wait {minutes} minutes, "
        "or ask the lead."
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
    gettext_noop("That was no badge, and nobody is signed in."),
    gettext_noop("Scan your badge first, then the part again."),
    status=403,
)
TABLET_REVOKED = refusal(
    "shop.tablet_revoked",
    gettext_noop("This tablet is no longer let in."),
    gettext_noop("Ask the lead for a code and let it in again."),
    status=403,
)
