"""Who can sign in to the demo, and with which password?"""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.translation import gettext as _

from travelers.demo import queries
from travelers.demo.rules.reasons import NO_DEMO
from travelers.demo.rules.sign_in import PASSWORD, PIN
from travelers.kit.words import label, remedy_of, sentence_of


class Command(BaseCommand):
    """Tell whoever starts the demo how to get in."""

    help = "List the demo's sign-ins; refused where the demo is not loaded."

    def handle(self, **options: Any) -> None:
        people = queries.sign_ins()
        if not people:
            raise CommandError(f"{sentence_of(NO_DEMO)} {remedy_of(NO_DEMO)}")
        for one in people:
            roles = ", ".join(label(role) for role in one.roles)
            line = f"  {one.username:<10}{roles:<16}{one.number}  {one.name}"
            self.stdout.write(line)
        words = _("The password of all of them: {password}").format(password=PASSWORD)
        self.stdout.write(f"  {words}")
        words = _("At a tablet: the number above and the PIN {pin}").format(pin=PIN)
        self.stdout.write(f"  {words}")
        words = _("To let a tablet in: as lev make a code at /tablets/, open /tablet/")
        self.stdout.write(f"  {words}")
