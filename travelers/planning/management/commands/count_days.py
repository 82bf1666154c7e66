"""How are the days that are over counted at night?"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone
from django.utils.translation import ngettext

from travelers.planning.actions import count_days


class Command(BaseCommand):
    """Count what came, went and lay at each stage on the days that are over."""

    help = "Count the days that are over; the flow page does it too when it is opened."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--anew", action="store_true", help="throw away what was counted before"
        )

    def handle(self, **options: Any) -> None:
        days = count_days(
            at=timezone.now(),
            zone=timezone.get_default_timezone(),
            anew=options["anew"],
        )
        self.stdout.write(
            ngettext("{n} day counted.", "{n} days counted.", days).format(n=days)
        )
