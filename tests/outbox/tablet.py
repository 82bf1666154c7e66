"""How does a test send what a tablet kept, as the page's scripts do?"""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import time_machine
from django.conf import settings
from django.test import Client

from tests import make
from tests.cast import TOKEN
from travelers.floor.rules import Wish
from travelers.orders.models import Step
from travelers.shop.passes import give_pass
from travelers.shop.sessions import TABLET_COOKIE

NO_OFFSET = timedelta(0)


@dataclass
class Outbox:
    """A tablet's store: presses are kept with a number and sent in any order."""

    shop: make.Shop
    station: str = "SAW"
    by: str = "joiner"
    clock_off: timedelta = NO_OFFSET
    knows_offset: bool = True
    client: Client = field(default_factory=Client)
    kept: list[dict[str, Any]] = field(default_factory=list)
    carried: dict[str, str] = field(default_factory=dict)
    number: int = 0

    def enter(self, name: str = "") -> "Outbox":
        """Send under a person's session."""
        self.client.force_login(self.shop.cast.people[name or self.by])
        return self

    def enrolled(self) -> "Outbox":
        """Send as a tablet of the shop, with nobody signed in."""
        self.client.cookies[TABLET_COOKIE] = TOKEN
        return self

    def pass_for(self, name: str, *, at: datetime | None = None) -> str:
        """Give the pass of a page that was made for somebody at a moment."""
        with time_machine.travel(at or self.shop.now, tick=False):
            return give_pass(person_id=self.shop.cast.people[name].pk, tablet_id=None)

    def press(
        self,
        wish: Wish | str,
        step: Step | None = None,
        *,
        code: str = "",
        by: str = "",
        **data: Any,
    ) -> dict[str, Any]:
        """Keep a press made now, by the tablet's own clock."""
        self.number += 1
        who = by or self.by
        if who not in self.carried:
            self.carried[who] = self.pass_for(who)
        record = {
            "id": str(uuid4()),
            "number": self.number,
            "made_at": (self.shop.now - self.clock_off).isoformat(),
            "offset_ms": self.clock_off.total_seconds() * 1000
            if self.knows_offset
            else None,
            "pass": self.carried[who],
            "wish": str(wish),
            "code": code or (step.part.code if step else ""),
            "step": step.pk if step else None,
            "data": data,
        }
        self.kept.append(record)
        return record

    def read(self, step: Step, value: str, **more: Any) -> dict[str, Any]:
        check = step.operation.characteristics.first()
        assert check
        gauge = {"moisture_meter": "meter", "caliper": "caliper"}.get(check.gauge_kind)
        said = {
            "check": check.pk,
            "place": 1,
            "value": value,
            "gauge": self.shop.cast.gauges[gauge].pk if gauge else "",
        }
        return self.press(Wish.READ, step, **{**said, **more})

    def send(self, records: Iterable[Any] | None = None) -> list[dict[str, Any]]:
        """Send what is kept, or other records, and give the answers."""
        answer = self.post({"records": list(self.kept if records is None else records)})
        assert answer.status_code == 200, answer.content
        return list(answer.json()["answers"])

    def post(self, body: Any, **headers: str) -> Any:
        text = body if isinstance(body, str | bytes) else json.dumps(body)
        with time_machine.travel(self.shop.now, tick=False):
            return self.client.post(
                f"/station/{self.station}/outbox/",
                text,
                content_type=headers.pop("content_type", "application/json"),
                headers={"Accept": "application/json", **headers},
            )

    def due(self, **headers: str) -> Any:
        with time_machine.travel(self.shop.now, tick=False):
            return self.client.get(f"/station/{self.station}/due.json", headers=headers)


def csrf_of(client: Client) -> str:
    return client.cookies[settings.CSRF_COOKIE_NAME].value
