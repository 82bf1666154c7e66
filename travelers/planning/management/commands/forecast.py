"""How is the floor forecast at night, so that the morning's page stands at once?"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone
from django.utils.translation import gettext as _

from travelers.kit.refusals import Refused
from travelers.kit.words import remedy_of, sentence_of
from travelers.planning.actions import make_forecast
from travelers.planning.queries.forecast import WHOLE


class Command(BaseCommand):
    """Live through futures of the floor as it stands."""

    help = "Forecast the floor as it stands, for the pages of limits and promises."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--futures", type=int, default=WHOLE)

    def handle(self, **options: Any) -> None:
        try:
            made = make_forecast(
                at=timezone.now(),
                seed=options["seed"],
                futures=options["futures"],
                zone=timezone.get_default_timezone(),
                with_gains=True,
            )
        except Refused as no:
            said = f"{sentence_of(no.refusal)} {remedy_of(no.refusal)}"
            raise CommandError(said) from no
        self.stdout.write(
            _("Lived through {n} futures, {digest}.").format(
                n=made.futures, digest=made.digest[:12]
            )
        )
