"""Is a paper that would run something, or cannot be looked into, not kept?

What a document may run by itself: ISO 32000-1:2008, 12.6 (actions), from memory.
"""

from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    TextStringObject,
)

from tests.kit.test_photos import SECRET, exif, picture
from travelers.kit.papers import MOST_BYTES, MOST_PAGES, Paper, PaperKind, paper_of
from travelers.kit.refusals import Refusal

Change = Callable[[PdfWriter], None]


def pdf(change: Change = lambda writer: None, pages: int = 1) -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(100, 100)
    change(writer)
    written = BytesIO()
    writer.write(written)
    return written.getvalue()


def kept(content: bytes, name: str = "note.pdf") -> Paper:
    made = paper_of(content, size=len(content), name=name)
    assert isinstance(made, Paper), made
    return made


def refused(content: bytes, name: str = "note.pdf") -> str:
    made = paper_of(content, size=len(content), name=name)
    assert isinstance(made, Refusal), made
    return made.code


def action(kind: str, **more: str) -> DictionaryObject:
    said: dict[Any, Any] = {NameObject("/S"): NameObject(kind)}
    for key, text in more.items():
        said[NameObject(f"/{key}")] = TextStringObject(text)
    return DictionaryObject(said)


def by_name(writer: PdfWriter) -> None:
    """Name a script for the whole document."""
    script = writer._add_object(action("/JavaScript", JS="app.alert(1)"))
    tree = DictionaryObject(
        {NameObject("/Names"): ArrayObject([TextStringObject("a"), script])}
    )
    names = DictionaryObject({NameObject("/JavaScript"): tree})
    writer.root_object[NameObject("/Names")] = writer._add_object(names)


def opens(what: DictionaryObject) -> Change:
    def change(writer: PdfWriter) -> None:
        writer.root_object[NameObject("/OpenAction")] = writer._add_object(what)

    return change


def noted(what: DictionaryObject) -> Change:
    """Hang an action on a note of the first page."""

    def change(writer: PdfWriter) -> None:
        note = DictionaryObject(
            {
                NameObject("/Type"): NameObject("/Annot"),
                NameObject("/Subtype"): NameObject("/Link"),
                NameObject("/Rect"): ArrayObject(
                    [NumberObject(n) for n in (0, 0, 9, 9)]
                ),
                NameObject("/A"): what,
            }
        )
        annotations = ArrayObject([writer._add_object(note)])
        writer.pages[0][NameObject("/Annots")] = annotations

    return change


def when_seen(writer: PdfWriter) -> None:
    """Act when the page comes into sight."""
    event = DictionaryObject({NameObject("/O"): action("/JavaScript", JS="1")})
    writer.pages[0][NameObject("/AA")] = writer._add_object(event)


def in_a_ring(writer: PdfWriter) -> None:
    one, other = DictionaryObject(), DictionaryObject()
    first, second = writer._add_object(one), writer._add_object(other)
    one[NameObject("/Next")], other[NameObject("/Next")] = second, first
    writer.root_object[NameObject("/OpenAction")] = first


def ring_that_acts(writer: PdfWriter) -> None:
    in_a_ring(writer)
    first: Any = writer.root_object["/OpenAction"]
    ring = first["/Next"]
    ring[NameObject("/S")] = NameObject("/Launch")


@pytest.mark.parametrize(
    "change",
    [
        lambda writer: None,
        lambda writer: writer.add_attachment("invoice.xml", b"<a/>"),
        lambda writer: writer.add_outline_item(title="here", page_number=0),
        noted(action("/URI", URI="https://example.org")),
        noted(action("/GoTo")),
        in_a_ring,
    ],
)
def test_a_pdf_is_kept_as_it_came(change: Change) -> None:
    content = pdf(change)
    made = kept(content, " a\n  note\x00.pdf ")
    assert (made.content, made.kind, made.title) == (
        content,
        PaperKind.PDF,
        "a note.pdf",
    )


@pytest.mark.parametrize(
    "change",
    [
        by_name,
        opens(action("/JavaScript", JS="app.alert(1)")),
        opens(action("/Launch", F="x.exe")),
        opens(action("/SubmitForm", F="https://example.org")),
        noted(action("/JavaScript", JS="1")),
        noted(DictionaryObject({NameObject("/Next"): action("/Launch")})),
        ring_that_acts,
        when_seen,
    ],
)
def test_a_pdf_that_would_run_something_is_not_kept(change: Change) -> None:
    assert refused(pdf(change)) == "kit.paper_would_run"


def test_a_pdf_with_a_password_is_not_kept() -> None:
    locked = pdf(lambda writer: writer.encrypt("secret", algorithm="RC4-128"))
    assert refused(locked) == "kit.paper_locked"


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "kit.paper_empty"),
        (b"%PDF-1.7\nand no more", "kit.paper_unreadable"),
        (b"<html><script>alert(1)</script>", "kit.paper_unreadable"),
        (b"PK\x03\x04", "kit.paper_unreadable"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "kit.paper_unreadable"),
    ],
)
def test_what_is_no_paper_is_not_kept(content: bytes, code: str) -> None:
    assert refused(content) == code


def test_a_paper_too_large_is_not_kept() -> None:
    made = paper_of(b"", size=MOST_BYTES + 1, name="long.pdf")
    assert isinstance(made, Refusal)
    assert made.code == "kit.paper_too_large"
    assert refused(pdf(pages=MOST_PAGES + 1)) == "kit.paper_too_large"
    assert kept(pdf(pages=MOST_PAGES)).kind == PaperKind.PDF


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_picture_is_made_anew(kind: str) -> None:
    more = {"exif": exif()} if kind == "JPEG" else {}
    content = picture(kind=kind, **more)
    made = kept(content, "note.pdf")
    assert made.kind == PaperKind.JPEG
    assert made.content.startswith(b"\xff\xd8")
    assert SECRET not in made.content
