"""Does printing open any file but the shop's own?"""

from dataclasses import dataclass

import pytest
from django.core.exceptions import SuspiciousFileOperation

from travelers.paper.documents import press
from travelers.paper.documents.press import ORIGIN, own_file, own_files_only

SECRET_FILE = "file:" + "///etc/passwd"


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("paper/paper.css", "text/css"),
        ("kit/fonts/AtkinsonHyperlegibleNext-Bold.ttf", "font/ttf"),
    ],
)
def test_the_shops_own_files_are_given(name: str, kind: str) -> None:
    answer = own_files_only().fetch(f"{ORIGIN}{name}")
    assert answer.content_type == kind
    assert len(answer.read()) > 100


def test_data_is_given() -> None:
    assert own_files_only().fetch("data:text/plain,plank").read() == b"plank"


@pytest.mark.parametrize(
    "url",
    [
        SECRET_FILE,
        f"{SECRET_FILE}#data:",
        "FILE:///etc/passwd",
        "http://shop.lan/T/P000010F",
        "https://example.org/a.png",
        "https://paper.invalid/secret",
        "https://paper.invalid.example.org/static/paper/paper.css",
        "ftp://example.org/a",
        "//example.org/a.css",
        "paper/paper.css",
        f"{ORIGIN}",
        f"{ORIGIN}paper/nothing.css",
        f"{ORIGIN}/etc/passwd",
        f"{ORIGIN}../settings.py",
        f"{ORIGIN}..%2f..%2f..%2fshopfloor%2fsettings.py",
        f"{ORIGIN}kit/../../../models.py",
    ],
)
def test_everything_else_is_refused(url: str) -> None:
    with pytest.raises((ValueError, SuspiciousFileOperation)):
        own_files_only().fetch(url)


@dataclass(frozen=True)
class Page:
    title: str
    sheets: tuple[object, ...] = ()
    form: str = ""


def test_only_fonts_and_styles_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """A name that looks like markup makes the press ask for nothing."""
    asked: list[str] = []

    def watched(url: str):
        asked.append(url)
        return own_file(url)

    monkeypatch.setattr(press, "own_file", watched)
    name = f'"><img src="{SECRET_FILE}"><link href="http://example.org/x.css">'
    running = press.Press("paper/paper.css", "paper/labels.css")
    running.print("paper/labels.html", Page(name))
    assert {url.removeprefix(ORIGIN) for url in asked} == {
        "paper/paper.css",
        "paper/labels.css",
        "kit/fonts/AtkinsonHyperlegibleNext-Regular.ttf",
        "kit/fonts/AtkinsonHyperlegibleNext-Bold.ttf",
    }
