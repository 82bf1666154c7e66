"""How is a tablet let in at a station, and put out again?"""

import logging
import secrets
from dataclasses import dataclass
from datetime import datetime
from itertools import count

from django.db import transaction

from travelers.kit.refusals import Refusal
from travelers.shop.models import Invitation, Person, Session, Station, Tablet
from travelers.shop.rules import (
    INVITATION_LENGTH,
    INVITATION_LETTERS,
    INVITATION_SPENT,
    INVITED_FOR,
    TABLET_NAME_TAKEN,
    digest_of,
    read_invitation,
)

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Invited:
    """A code for one tablet, told this once: only its digest is kept."""

    code: str
    station: Station
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class Enrolled:
    """A tablet that was let in, with the token that its browser keeps."""

    tablet: Tablet
    token: str


def invite_tablet(*, station: Station, by: Person, at: datetime) -> Invited:
    """Make a code that lets one tablet in at a station."""
    code = "".join(secrets.choice(INVITATION_LETTERS) for _ in range(INVITATION_LENGTH))
    ends_at = at + INVITED_FOR
    Invitation.objects.create(
        station=station, digest=digest_of(code), made_at=at, made_by=by, ends_at=ends_at
    )
    return Invited(code, station, ends_at)


@transaction.atomic
def enrol_tablet(
    *, code: str, name: str = "", former: Tablet | None = None, at: datetime
) -> Enrolled | Refusal:
    """Let a tablet in by a code, which is used up; what it was before is put out."""
    found = (
        Invitation.objects.select_for_update(of=("self",))
        .select_related("station", "made_by")
        .filter(digest=digest_of(read_invitation(code)), used_at=None, ends_at__gt=at)
        .first()
    )
    if found is None:
        log.warning("code for a tablet refused")
        return INVITATION_SPENT.about(code=code[:40])
    name = name or _free_name(found.station)
    if Tablet.objects.filter(name=name).exists():
        return TABLET_NAME_TAKEN.about(name=name)
    Invitation.objects.filter(pk=found.pk).update(used_at=at)
    if former is not None:
        revoke_tablet(tablet=former, by=found.made_by, at=at)
    token = secrets.token_urlsafe(32)
    tablet = Tablet.objects.create(
        name=name,
        station=found.station,
        token_digest=digest_of(token),
        heard_at=at,
        enrolled_at=at,
        enrolled_by=found.made_by,
    )
    log.warning("tablet let in, tablet=%s by=%s", tablet.pk, found.made_by_id)
    return Enrolled(tablet, token)


def _free_name(station: Station) -> str:
    """Number the tablets of a station: the first name that none ever had."""
    taken = set(Tablet.objects.values_list("name", flat=True))
    names = (f"{station.name[:36]} {number}" for number in count(1))
    return next(name for name in names if name not in taken)


@transaction.atomic
def revoke_tablet(*, tablet: Tablet, by: Person, at: datetime) -> None:
    """Put a tablet out: its token opens nothing more, and who is signed in is out."""
    Tablet.objects.filter(pk=tablet.pk, revoked_at=None).update(
        revoked_at=at, revoked_by=by
    )
    Session.objects.filter(tablet=tablet).delete()
    log.warning("tablet put out, tablet=%s by=%s", tablet.pk, by.pk)
