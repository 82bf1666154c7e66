"""How does a nightly job learn that the shop's certificate runs out?"""

from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from travelers.shop.queries import find_certificate


class Command(BaseCommand):
    """Say how long the certificate holds; fail where it is time for another."""

    help = "Say how long the certificate at PUBLIC_ORIGIN holds; fail 30 days before."

    def handle(self, *args: Any, **options: Any) -> None:
        at = timezone.now()
        found = find_certificate(origin=settings.PUBLIC_ORIGIN)
        if found is None:
            self.stdout.write(_("PUBLIC_ORIGIN is plain http and has no certificate."))
            return
        if found.ends_at is None:
            raise CommandError(
                _("No certificate could be seen at {host}: {fault}").format(
                    host=found.host, fault=found.fault
                )
            )
        days = found.days_left(at)
        said = ngettext(
            "{host}: {n} day left, until {ends}",
            "{host}: {n} days left, until {ends}",
            days,
        ).format(host=found.host, n=days, ends=found.ends_at.isoformat())
        if found.is_short(at):
            raise CommandError(said)
        self.stdout.write(said)
