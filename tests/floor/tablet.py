"""How does a test use a station's tablet?  By the forms and links that it shows."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from urllib.parse import urljoin
from uuid import UUID

import time_machine
from bs4 import BeautifulSoup, Tag
from django.http import HttpResponse
from django.test import Client
from django.utils import timezone

from tests import make
from travelers.floor.models import Event
from travelers.orders.models import Part

PIECE = {"HX-Request": "true", "HX-Target": "scene"}


@dataclass
class Tablet:
    """A browser at a station, with what is on its screen; by default no script runs."""

    shop: make.Shop
    station: str
    by: str = "joiner"
    client: Client = field(default_factory=Client)
    page: BeautifulSoup = field(
        default_factory=lambda: BeautifulSoup("", "html.parser")
    )
    status: int = 0
    url: str = ""
    headers: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.by:
            self.client.force_login(self.shop.cast.people[self.by])

    def sign_in(self, name: str) -> None:
        self.client.force_login(self.shop.cast.people[name])

    def open(self, url: str = "", **headers: str) -> "Tablet":
        self.url = urljoin(f"/station/{self.station}/", url)
        with self._now():
            self._take(self.client.get(self.url, headers={**self.headers, **headers}))
        return self

    def scan(self, text: str | Part) -> "Tablet":
        """Type a code into the scan field and send it, as the page has it now."""
        if not self.page.select_one("#scan-form"):
            self.open()
        form = self.form("#scan-form")
        code = text if isinstance(text, str) else text.code
        name = str(form.select("input:not([type=hidden])")[0]["name"])
        return self.submit(form, **{name: code})

    def form(self, selector: str) -> Tag:
        found = self.page.select_one(selector)
        assert found, f"{selector} is not on the page:\n{self.text}"
        return found

    def wish(self, wish: str, **typed: str) -> "Tablet":
        """Press the button of a wish, if the page has it."""
        button = self.form(f"#scene form:has(input[name=wish][value={wish}])")
        return self.submit(button, **typed)

    def read(self, value: str = "", **typed: str) -> "Tablet":
        """Type a value into the check on the screen and send it."""
        if value:
            typed["value"] = value
        return self.submit(self.form("form.check"), **typed)

    def submit(self, form: Tag, **typed: str) -> "Tablet":
        data = {**fields(form), **typed}
        self.url = urljoin(self.url, str(form["action"]))
        with self._now():
            if form["method"] == "get":
                answer = self.client.get(self.url, data, headers=self.headers)
            else:
                # A scan leads on to what was scanned, as a browser follows it.
                scans = self.url.endswith("/scan/")
                answer = self.client.post(
                    self.url, data, headers=self.headers, follow=scans
                )
                if scans and answer.redirect_chain:
                    self.url = answer.redirect_chain[-1][0]
            self._take(answer)
        return self

    def follow(self, words: str) -> "Tablet":
        """Follow the link that says these words."""
        links = [a for a in self.page.select("a") if words in a.get_text(" ")]
        assert links, f"No link says {words}:\n{self.text}"
        return self.open(str(links[0]["href"]))

    def _take(self, answer: Any) -> None:
        self.answer: HttpResponse = answer
        self.status = answer.status_code
        self.page = BeautifulSoup(answer.content.decode(), "html.parser")

    def _now(self) -> Any:
        return time_machine.travel(self.shop.now, tick=False)

    @property
    def text(self) -> str:
        """Give what a person reads in the scene, with single blanks."""
        scene = self.page.select_one("#scene") or self.page
        return " ".join(scene.get_text(" ").split())

    @property
    def title(self) -> str:
        found = self.page.select_one("#scene h1")
        return " ".join(found.get_text(" ").split()) if found else ""

    @property
    def buttons(self) -> dict[str, bool]:
        """Give the wide buttons by their words, and whether they can be pressed."""
        return {
            " ".join(found.get_text(" ").split()): not found.has_attr("disabled")
            for found in self.page.select("#scene .press-next, #scene button.press")
        }


def fields(form: Tag) -> dict[str, str]:
    """Give what a browser would send of a form without its buttons."""
    data = {}
    for found in form.select("input[name]"):
        if found.get("type") == "checkbox" and not found.has_attr("checked"):
            continue
        ticked = "on" if found.get("type") == "checkbox" else ""
        data[str(found["name"])] = str(found.get("value", ticked))
    for choice in form.select("select[name]"):
        chosen = choice.select_one("option[selected]") or choice.select_one("option")
        data[str(choice["name"])] = str(chosen["value"]) if chosen else ""
    return data


def events() -> list[tuple[str, bool, str]]:
    """Give kind, acceptance and refusal of all events, oldest first."""
    rows = Event.objects.order_by("seq").values_list("kind", "accepted", "refusal")
    return list(rows)


def event_id_of(form: Tag) -> UUID:
    return UUID(fields(form)["event_id"])


def swapped(page: BeautifulSoup, piece: BeautifulSoup) -> str:
    """Put a piece into a page as htmx does: the scene, and what goes with it."""
    whole = BeautifulSoup(str(page), "html.parser")
    for name in ("scene", "scan-form", "lead", "person"):
        old, new = whole.find(id=name), piece.find(id=name)
        assert isinstance(old, Tag)
        assert isinstance(new, Tag)
        fresh = BeautifulSoup(str(new), "html.parser").find(id=name)
        assert isinstance(fresh, Tag)
        fresh.attrs.pop("hx-swap-oob", None)
        old.replace_with(fresh)
    return plain(whole)


def plain(page: BeautifulSoup) -> str:
    """Write a page without what is new at every drawing of it."""
    whole = BeautifulSoup(str(page), "html.parser")
    for found in whole.select("[name=event_id], [name=csrfmiddlewaretoken]"):
        found["value"] = ""
    for found in whole.select("body"):
        found.attrs.pop("hx-headers", None)
    return "\n".join(
        line for line in (row.strip() for row in whole.prettify().splitlines()) if line
    )


def clock(moment: datetime) -> str:
    return timezone.localtime(moment).strftime("%H:%M")
