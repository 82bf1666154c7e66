"""What stands on the sheet of a load, for the door of its room?"""

from dataclasses import dataclass
from uuid import UUID

from django.conf import settings

from travelers.floor.queries import InLoad, LoadNow, find_load
from travelers.formulas import codes
from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.paper.queries.travelers import language
from travelers.paper.rules import Size


@dataclass(frozen=True, slots=True)
class LoadRow:
    """A part that lies in the load, with the link of its symbol."""

    part: InLoad
    link: str

    @property
    def code(self) -> str:
        return self.part.code


@dataclass(frozen=True, slots=True)
class LoadSheet:
    load: LoadNow
    rows: tuple[LoadRow, ...]
    size: Size
    language: str


def load_sheet(*, load_id: UUID, size: Size) -> LoadSheet:
    """Give what lies in a load; what is out already is only counted."""
    load = find_load(load_id=load_id)
    if load is None:
        raise Refused(NOT_FOUND)
    rows = tuple(
        LoadRow(part, codes.link(part.code, settings.PUBLIC_ORIGIN))
        for part in load.lying
    )
    return LoadSheet(load, rows, size, language())
