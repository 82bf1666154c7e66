"""How are the sheets of many instruments laid over those that they share?

The shared sheets are printed once and become form XObjects; each instrument's own
sheets draw them underneath.  A form that is drawn more than once cannot hold tags
(ISO 32000-1, 14.7.4.3), so each drawing is one tagged paragraph whose actual text is
that of the shared sheet; what is an instrument's own keeps all its tags.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import cast

from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    DecodedStreamObject,
    DictionaryObject,
    IndirectObject,
    NumberObject,
    PdfObject,
    TextStringObject,
)
from pypdf.generic import NameObject as Name

# What a print run takes over from its first part: language, metadata, marks.
CATALOG = ("/Lang", "/Metadata", "/MarkInfo", "/ViewerPreferences")


@dataclass(frozen=True, slots=True)
class Shared:
    """A sheet that many instruments share: what draws it, and what it says."""

    drawn: IndirectObject
    told: IndirectObject


class Binder:
    """A print run in the making."""

    def __init__(self) -> None:
        self.writer = PdfWriter()
        self.parts = ArrayObject()
        self.marked = ArrayObject()

    def share(self, printed: bytes) -> list[Shared]:
        """Take in the sheets that the next instruments share."""
        sheets = []
        for page in PdfReader(BytesIO(printed)).pages:
            form = DecodedStreamObject()
            form.update(
                {
                    Name("/Type"): Name("/XObject"),
                    Name("/Subtype"): Name("/Form"),
                    Name("/BBox"): ArrayObject(page.mediabox),
                    Name("/Resources"): self._taken(page.raw_get("/Resources")),
                }
            )
            # A content stream is an empty dictionary, and as such false.
            if (contents := page.get_contents()) is not None:
                form.set_data(contents.get_data())
            told = TextStringObject(page.extract_text())
            sheets.append(Shared(self._add(form.flate_encode()), self._add(told)))
        return sheets

    def bind(
        self, printed: bytes, sheets: Sequence[Shared], *, names: Sequence[str]
    ) -> None:
        """Lay instruments' own sheets over the shared ones; names go to the outline."""
        reader = PdfReader(BytesIO(printed))
        root = _dictionary(reader.root_object["/StructTreeRoot"])
        owners = _array(_dictionary(root["/ParentTree"])["/Nums"])
        if not self.parts:
            self._take_catalog(reader)
        first = len(self.writer.pages)
        laid = [self.writer.add_page(page) for page in reader.pages]
        part = self._part(root)
        under: dict[tuple[int, int], tuple[PdfObject, PdfObject]] = {}
        for place, page in enumerate(laid):
            sheet = sheets[place % len(sheets)]
            marked = _array(owners[2 * place + 1])
            own = ArrayObject(self._taken(owner) for owner in marked)
            own.append(self._paragraph(part, page, sheet, mark := len(own)))
            self.marked += [NumberObject(first + place), self._add(own)]
            key = (place % len(sheets), mark)
            if key not in under:
                under[key] = self._under(page, sheet, mark)
            _put_under(page, *under[key], number=first + place)
        for place, name in enumerate(names):
            self.writer.add_outline_item(
                title=name, page_number=first + place * len(sheets)
            )
        # Else every reader would live as long as the run.
        self.writer.reset_translation(reader)

    def bound(self, *, identifier: bytes) -> bytes:
        """Give the whole run."""
        document = _made("/StructElem", "/Document", K=self.parts)
        tree = DictionaryObject({Name("/Nums"): self.marked})
        root = DictionaryObject(
            {
                Name("/Type"): Name("/StructTreeRoot"),
                Name("/K"): ArrayObject([self._add(document)]),
                Name("/ParentTree"): self._add(tree),
            }
        )
        document[Name("/P")] = self._add(root)
        for part in self.parts:
            _dictionary(part)[Name("/P")] = self._add(document)
        self.writer.root_object[Name("/StructTreeRoot")] = self._add(root)
        # A random identifier would make each print of the same sheets another file.
        self.writer._ID = ArrayObject([ByteStringObject(identifier)] * 2)
        out = BytesIO()
        self.writer.write(out)
        return out.getvalue()

    def _part(self, root: DictionaryObject) -> DictionaryObject:
        """Take a structure tree over, as one part of the run's."""
        (document,) = _array(root["/K"])
        part = _dictionary(self._taken(document))
        part[Name("/S")] = Name("/Part")
        del part["/P"]
        self.parts.append(self._add(part))
        return part

    def _paragraph(
        self, part: DictionaryObject, page: PageObject, sheet: Shared, mark: int
    ) -> IndirectObject:
        """Say in the structure tree what a shared sheet says on this page."""
        paragraph = self._add(
            _made(
                "/StructElem",
                "/P",
                P=self._add(part),
                Pg=self._add(page),
                K=NumberObject(mark),
                ActualText=sheet.told,
            )
        )
        _array(part["/K"]).append(paragraph)
        return paragraph

    def _under(
        self, page: PageObject, sheet: Shared, mark: int
    ) -> tuple[PdfObject, PdfObject]:
        """Make the resources and the drawing that put a shared sheet under a page."""
        resources = DictionaryObject(_dictionary(page["/Resources"]))
        objects = DictionaryObject(_dictionary(resources.get("/XObject")))
        objects[Name("/Shared")] = sheet.drawn
        resources[Name("/XObject")] = objects
        drawing = DecodedStreamObject()
        drawing.set_data(f"/P <</MCID {mark}>> BDC q /Shared Do Q EMC\n".encode())
        return self._add(resources), self._add(drawing)

    def _take_catalog(self, reader: PdfReader) -> None:
        catalog = reader.root_object
        for name in CATALOG:
            taken = self._taken(catalog.raw_get(name))
            self.writer.root_object[Name(name)] = taken
        self.writer.metadata = reader.metadata
        self.writer.pdf_header = reader.pdf_header

    def _taken(self, one: PdfObject) -> PdfObject:
        return one.clone(self.writer)

    def _add(self, one: PdfObject) -> IndirectObject:
        # pypdf 7.1 has no public name for giving an object a number of its own.
        return self.writer._add_object(one)


def _put_under(
    page: PageObject, resources: PdfObject, drawing: PdfObject, *, number: int
) -> None:
    page[Name("/StructParents")] = NumberObject(number)
    page[Name("/Contents")] = ArrayObject([drawing, page.raw_get("/Contents")])
    page[Name("/Resources")] = resources


def _made(type_: str, kind: str, **entries: PdfObject) -> DictionaryObject:
    named = {Name(f"/{name}"): entry for name, entry in entries.items()}
    return DictionaryObject(
        {Name("/Type"): Name(type_), Name("/S"): Name(kind), **named}
    )


def _dictionary(one: PdfObject | None) -> DictionaryObject:
    return (
        DictionaryObject() if one is None else cast(DictionaryObject, one.get_object())
    )


def _array(one: PdfObject) -> ArrayObject:
    return cast(ArrayObject, one.get_object())
