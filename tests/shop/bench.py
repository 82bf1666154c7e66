"""How does a test stand at an enrolled tablet, with a badge and a PIN?"""

from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import Any

import time_machine
from django.contrib.auth.hashers import make_password
from django.test import Client

from tests import make
from tests.cast import TOKEN
from travelers.shop.actions import issue_badges, new_secret
from travelers.shop.models import Person, Tablet
from travelers.shop.sessions import TABLET_COOKIE

PIN = "271828"
NUMBERS = {"joiner": "0417", "finisher": "9000", "lead": "1000"}


def link(secret: str) -> str:
    return f"HTTP://SHOP.LAN/B/{secret}"


def give(shop: make.Shop, *names: str) -> dict[str, str]:
    """Give people of the cast number, PIN and badge; say the badges' links."""
    people = [shop.cast.people[name] for name in names or NUMBERS]
    hashed = make_password(PIN)
    for person in people:
        person.number, person.pin = NUMBERS[person.username], hashed
        person.save(update_fields=["number", "pin"])
    made = {person: new_secret() for person in people}
    issue_badges(made=made, by=shop.cast.admin, at=shop.now)
    return {person.username: link(secret) for person, secret in made.items()}


@dataclass
class Bench:
    """A browser that keeps a tablet's token, at the moment of the shop."""

    shop: make.Shop
    token: str | None = TOKEN
    client: Client = field(default_factory=Client)

    def __post_init__(self) -> None:
        if self.token:
            self.client.cookies[TABLET_COOKIE] = self.token

    @property
    def tablet(self) -> Tablet:
        return self.shop.cast.tablet

    def now(self) -> AbstractContextManager[Any]:
        return time_machine.travel(self.shop.now, tick=False)

    def get(self, path: str, **more: Any) -> Any:
        with self.now():
            return self.client.get(path, **more)

    def post(self, path: str, **data: Any) -> Any:
        with self.now():
            return self.client.post(path, data)

    def badge(self, shown: str, **more: str) -> Any:
        return self.post("/sign-in/", badge=shown, **more)

    def pin(self, number: str, pin: str = PIN, **more: str) -> Any:
        return self.post("/sign-in/", number=number, pin=pin, **more)

    @property
    def key(self) -> str:
        found = self.client.cookies.get("sessionid")
        return found.value if found else ""

    def who(self) -> str:
        """Say who is signed in, by the station's page."""
        answer = self.get("/station/SAW/")
        if answer.status_code != 200:
            return ""
        person: Person = answer.context["user"]
        return person.username
