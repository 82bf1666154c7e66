"""Who stands at a tablet, told so that the tablet can carry it about and nobody
can change it?"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.core.signing import BadSignature, TimestampSigner, b62_decode
from django.http import HttpRequest

from travelers.shop.sessions import TABLET_KEY

# A shift with some overtime; a session lasts no longer either.
LASTS = timedelta(hours=12)
# A tablet's clock is known to a second or two, and so is when a page was made.
GIVE = timedelta(minutes=2)
_signer = TimestampSigner(salt="shop.pass")


@dataclass(frozen=True, slots=True)
class Pass:
    """Who was signed in when a page was made, and on which tablet."""

    person_id: int
    tablet_id: int | None
    issued_at: datetime

    def covers(self, at: datetime) -> bool:
        """Say whether something done at a moment may count as this person's."""
        return self.issued_at - GIVE <= at <= self.issued_at + LASTS


def give_pass(*, person_id: int, tablet_id: int | None) -> str:
    """Sign who somebody is; the signature carries the moment too."""
    return _signer.sign_object({"person": person_id, "tablet": tablet_id})


def read_pass(text: str) -> Pass | None:
    """Read a pass whose signature holds, however old it is."""
    try:
        held = _signer.unsign_object(text)
        seconds = b62_decode(text.rsplit(_signer.sep, 2)[1])
        issued_at = datetime.fromtimestamp(seconds, UTC)
        return Pass(int(held["person"]), held["tablet"], issued_at)
    except (BadSignature, LookupError, TypeError, ValueError, OverflowError):
        return None


def pass_of(request: HttpRequest) -> str:
    """Give the pass that a page carries for whoever reads it; none for a stranger."""
    if not request.user.is_authenticated:
        return ""
    tablet_id = request.session.get(TABLET_KEY)
    return give_pass(person_id=request.user.pk, tablet_id=tablet_id)
