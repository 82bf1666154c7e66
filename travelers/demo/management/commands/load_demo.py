"""How is the demo loaded?"""

from argparse import ArgumentParser
from datetime import date, datetime, time
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from travelers.demo import queries
from travelers.demo.actions import load_demo
from travelers.demo.rules.planting import USUAL, Bad, Cause
from travelers.kit.refusals import Refused
from travelers.kit.words import remedy_of, sentence_of

SEED, INSTRUMENTS = 7, 176
# A history told until a day ends while that day's first shift is still at work.
ENDS = time(14, 20)


def share(text: str) -> float:
    """Read a share of parts: above 0 and not above 1."""
    value = float(text)
    if not 0 < value <= 1:
        raise ValueError(text)
    return value


class Command(BaseCommand):
    """Make a shop that has been at work for months, for whoever wants to look."""

    help = "Fill an empty database with a workshop that has been at work for months."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seed", type=int, default=SEED)
        parser.add_argument("--instruments", type=int, default=INSTRUMENTS)
        parser.add_argument("--until", type=date.fromisoformat, metavar="YYYY-MM-DD")
        parser.add_argument("--if-empty", action="store_true")
        parser.add_argument(
            "--bad", choices=[bad.value for bad in Bad], default=USUAL.bad.value
        )
        parser.add_argument("--share", type=share, default=USUAL.share)

    def handle(self, **options: Any) -> None:
        if options["if_empty"] and not queries.is_empty():
            self.stdout.write(_("A shop is loaded already; it stays as it is."))
            return
        now = timezone.now()
        if until := options["until"]:
            now = timezone.make_aware(datetime.combine(until, ENDS))
        try:
            made = load_demo(
                seed=options["seed"],
                instruments=options["instruments"],
                now=now,
                cause=Cause(Bad(options["bad"]), options["share"]),
            )
        except Refused as no:
            said = f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}"
            raise CommandError(said) from no
        self.stdout.write(
            _(
                "Loaded {orders} orders, {instruments} instruments and {scans} scans, "
                "{refused} of them refused."
            ).format(
                orders=made.orders,
                instruments=made.instruments,
                scans=made.scans,
                refused=made.refused,
            )
        )
