"""Is a paper that somebody sent, scanned or photographed, one that can be kept?

A picture is made anew as photos are.  A PDF stays as it came, since it may be signed;
one that would run something, or cannot be looked into, is not kept.
"""

import hashlib
import logging
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from io import BytesIO
from typing import Any

from travelers.kit.photos import UNREADABLE, Photo, harmless
from travelers.kit.refusals import Refusal, gettext_noop, refusal

MOST_BYTES = 10_000_000
MOST_PAGES = 200
PDF = b"%PDF-"
# What a PDF may do by itself that is no looking at it (ISO 32000-1, 12.6.4), and by
# which words actions hang on what has them (12.6.1 to 12.6.3, 12.7.2); of additional
# actions (AA) there is one for each event.
RUNS = {"/JavaScript", "/Launch", "/SubmitForm", "/ImportData", "/Rendition", "/Sound"}
LINKS = {"/OpenAction", "/AcroForm", "/Annots", "/Fields", "/Kids", "/A", "/Next"}


class PaperKind(StrEnum):
    """As what a paper is kept."""

    PDF = "PDF"
    JPEG = "JPEG"


EMPTY = refusal(
    "kit.paper_empty",
    gettext_noop("The paper “{name}” is empty."),
    gettext_noop("Scan it once more and send it again."),
    status=422,
)
TOO_LARGE = refusal(
    "kit.paper_too_large",
    gettext_noop("The paper “{name}” is larger than 10 MB or has over 200 pages."),
    gettext_noop("Scan it more coarsely, or send its parts one by one."),
    status=422,
)
NOT_A_PAPER = refusal(
    "kit.paper_unreadable",
    gettext_noop("“{name}” is no PDF, JPEG or PNG that can be read."),
    gettext_noop("Print it to a PDF, or photograph it, and send that."),
    status=422,
)
LOCKED = refusal(
    "kit.paper_locked",
    gettext_noop("The PDF “{name}” has a password, so it cannot be looked into."),
    gettext_noop("Save it without one and send it again."),
    status=422,
)
WOULD_RUN = refusal(
    "kit.paper_would_run",
    gettext_noop("The PDF “{name}” would run something when it is opened."),
    gettext_noop("Print it to a new PDF, or photograph it, and send that."),
    status=422,
)


@dataclass(frozen=True, slots=True)
class Paper:
    """A paper as it is kept; ``title`` is what the file was called."""

    content: bytes
    kind: PaperKind
    sha256: str
    title: str


def paper_of(content: bytes, *, size: int, name: str) -> Paper | Refusal:
    """Make a paper ready to be kept, or say why it cannot be.

    ``size`` is how much was sent; of too much the content was not kept.
    """
    told = "".join(sign for sign in " ".join(name.split()) if sign.isprintable())[:60]
    if size > MOST_BYTES:
        return TOO_LARGE.about(name=told)
    if not content:
        return EMPTY.about(name=told)
    return _pdf(content, told) if content.startswith(PDF) else _picture(content, told)


def _pdf(content: bytes, title: str) -> Paper | Refusal:
    refused = _not_kept(content)
    if refused:
        return refused.about(name=title)
    return Paper(content, PaperKind.PDF, hashlib.sha256(content).hexdigest(), title)


def _picture(content: bytes, title: str) -> Paper | Refusal:
    made = harmless(content, size=len(content), name=title)
    if isinstance(made, Photo):
        return Paper(made.content, PaperKind.JPEG, made.sha256, title)
    return NOT_A_PAPER.about(name=title) if made.code == UNREADABLE.code else made


def _not_kept(content: bytes) -> Refusal | None:
    # Takes a while to load, and few pages need it.
    from pypdf import PdfReader

    # It tells the log of each oddity of a file that others made.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        reader = PdfReader(BytesIO(content))
        if reader.is_encrypted:
            return LOCKED
        if len(reader.pages) > MOST_PAGES:
            return TOO_LARGE
        return WOULD_RUN if _runs(reader) else None
    # A reader that is fed with lies may fail in any manner; none is the server's.
    except Exception:
        return NOT_A_PAPER


def _runs(reader: Any) -> bool:
    """Look for actions where a document, its pages and their notes have them."""
    root = reader.trailer["/Root"].get_object()
    named = "/Names" in root and "/JavaScript" in root["/Names"]
    return named or any(map(_acts, _hangs_on([root, *reader.pages])))


def _acts(found: dict[str, Any]) -> bool:
    return found.get("/S") in RUNS or "/JS" in found


def _hangs_on(places: list[Any]) -> Iterator[dict[str, Any]]:
    """Give all that actions may hang on, each once: what refers may do so in rings."""
    seen: set[int] = set()
    waiting = list(places)
    while waiting:
        thing = waiting.pop()
        # A reference is followed once; what stands in its place is met once anyway.
        number = getattr(thing, "idnum", 0)
        if number in seen:
            continue
        if number:
            seen.add(number)
        found = thing.get_object() if number else thing
        if isinstance(found, dict):
            yield found
            waiting += [dict.get(found, key) for key in LINKS & found.keys()]
            if "/AA" in found:
                waiting += dict.values(found["/AA"])
        elif isinstance(found, list):
            waiting += list(found)
