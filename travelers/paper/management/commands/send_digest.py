"""How does the digest get to those who meet on Monday, by a timer?"""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import override

from travelers.kit.refusals import Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.paper.actions import mail_digest
from travelers.paper.documents import digest_sheet
from travelers.paper.queries import digest_now


class Command(BaseCommand):
    """Send the digest to the addresses of ``DIGEST_TO``; without a server, say so."""

    help = "Send the digest by e-mail, if EMAIL_HOST and DIGEST_TO are set."

    def handle(self, **options: Any) -> None:
        if not (settings.EMAIL_HOST and settings.DIGEST_TO):
            said = _("Nothing was sent: EMAIL_HOST and DIGEST_TO are not both set.")
            self.stdout.write(said)
            return
        with override(settings.LANGUAGE_CODE):
            self._send()

    def _send(self) -> None:
        found = digest_now(at=timezone.now(), zone=timezone.get_default_timezone())
        try:
            sheet = digest_sheet(digest=found)
            link = f"{settings.PUBLIC_ORIGIN.lower()}{reverse('digest:digest')}"
            mail_digest(digest=found, sheet=sheet, to=settings.DIGEST_TO, link=link)
        except Refused as no:
            said = f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}"
            raise CommandError(said) from no
        except OSError as fault:
            said = _("Nothing was sent: {fault}").format(fault=fault)
            raise CommandError(said) from fault
        self.stdout.write(_("Sent to {to}.").format(to=", ".join(settings.DIGEST_TO)))
