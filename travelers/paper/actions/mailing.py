"""How does the digest reach those who meet, without anybody printing it?"""

from collections.abc import Sequence

from django.core.mail import EmailMessage
from django.utils import formats, translation
from django.utils.translation import gettext

from travelers.paper.queries import Digest


def mail_digest(*, digest: Digest, sheet: bytes, to: Sequence[str], link: str) -> None:
    """Send the digest's sheets with its figures in a few lines.

    Raises
    ------
    OSError
        The mail server cannot be reached, or refuses.
    """
    with translation.override(digest.language):
        day = formats.date_format(digest.day, "j M Y")
        title = gettext("Digest of {day}").format(day=day)
        body = "\n".join([*_lines(digest), "", link])
    message = EmailMessage(title, body, to=list(to))
    message.attach(f"digest-{digest.day.isoformat()}.pdf", sheet, "application/pdf")
    message.send()


def _lines(digest: Digest) -> list[str]:
    late, quality = digest.late, digest.quality
    named = digest.limit.named
    never = sum(room.never_count for room in digest.rooms)
    said = [
        (late.count, gettext("Orders that will be late")),
        (late.overdue, gettext("Orders past their due date")),
        (digest.stuck.count, gettext("Instruments that are stuck")),
        (never, gettext("Sets that will never be dry in their room")),
        (quality.found, gettext("Defects found in four weeks")),
        (quality.open_defects, gettext("Defects that wait for a decision")),
        (quality.open_signals, gettext("Signals without an answer")),
        (quality.held_count, gettext("Instruments held")),
    ]
    lines = [f"{what}: {count}" for count, what in said]
    if named:
        lines.insert(2, gettext("Help {name} first.").format(name=named.name))
    return lines
