"""What is in the bare view's database?  Prints the key of a signed-in session."""

import os
import sys

from tests.bench.ground import migrate

SHEETS, STEPS, STATIONS = 300, 60, 25


def main() -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.bench.bare.settings"
    migrate()
    from django.contrib.auth.models import User
    from django.test import Client

    from tests.bench.bare.models import Sheet, Station, Step

    stations = [Station.objects.create(name=f"Station {n}") for n in range(STATIONS)]
    for number in range(SHEETS):
        sheet = Sheet.objects.create(token=f"T{number:06}")
        Step.objects.bulk_create(
            Step(sheet=sheet, number=n, station=stations[n * 7 % STATIONS])
            for n in range(STEPS)
        )
    client = Client()
    client.force_login(User.objects.create_user("worker"))
    sys.stdout.write(client.cookies["sessionid"].value)


if __name__ == "__main__":
    main()
