"""How does one ask whether the rows and the ledger say the same?"""

import hashlib
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from travelers.floor.queries import audit


class Command(BaseCommand):
    """Compute every instrument from its ledger and name what differs."""

    help = "Compute instruments anew from the ledger and compare them with their rows."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("serials", nargs="*", help="only these instruments")
        parser.add_argument(
            "--heads",
            action="store_true",
            help="print the last event of each chain, to be kept elsewhere",
        )
        parser.add_argument(
            "--against",
            type=Path,
            metavar="FILE",
            help="check that the heads printed then are still there",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["heads"]:
            for head in audit.heads(serials=options["serials"]):
                self.stdout.write(str(head))
            return
        events = instruments = differences = 0
        ends = hashlib.sha256()
        for instrument_id in audit.instrument_ids(serials=options["serials"]):
            checked = audit.check_instrument(instrument_id=instrument_id)
            instruments += 1
            events += checked.events
            differences += self._say(checked.differences)
            ends.update(checked.last_digest.encode())
        if not options["serials"]:
            differences += self._say(audit.check_unknown_codes())
            differences += self._say(audit.check_loads())
            events += audit.count_unknown_codes()
        if options["against"]:
            differences += self._say(audit.compare_heads(_read(options["against"])))
        self.stdout.write(
            _("{instruments} instruments, {events} events; ends in {digest}").format(
                instruments=instruments, events=events, digest=ends.hexdigest()
            )
        )
        if differences:
            raise CommandError(
                ngettext(
                    "{n} difference between rows and ledger.",
                    "{n} differences between rows and ledger.",
                    differences,
                ).format(n=differences)
            )
        self.stdout.write(self.style.SUCCESS(_("Rows and ledger agree.")))

    def _say(self, differences: Any) -> int:
        count = 0
        for difference in differences:
            self.stdout.write(str(difference))
            count += 1
        return count


def _read(path: Path) -> list[audit.Head]:
    """Read the heads that were printed into a file."""
    try:
        lines = path.read_text().splitlines()
        return [audit.read_head(line) for line in lines if line.strip()]
    except OSError as fault:
        raise CommandError(str(fault)) from fault
    except audit.NotAHead as fault:
        raise CommandError(
            _("“{line}” is not a line that --heads has printed.").format(line=fault)
        ) from fault
