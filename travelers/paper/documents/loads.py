"""How is the sheet of a load printed, to hang at the door of its room?"""

from dataclasses import dataclass
from datetime import datetime

from django.utils import translation
from django.utils.translation import gettext

from travelers.paper.documents.press import Press
from travelers.paper.queries import LoadSheet
from travelers.paper.rules import Printing


@dataclass(frozen=True, slots=True)
class Printed:
    title: str
    sheet: LoadSheet
    printing: Printing

    @property
    def first_out(self) -> datetime | None:
        moments = [row.part.out_at for row in self.sheet.rows if row.part.out_at]
        return min(moments, default=None)

    @property
    def last_out(self) -> datetime | None:
        moments = [row.part.out_at for row in self.sheet.rows if row.part.out_at]
        return max(moments, default=None)

    @property
    def gone(self) -> int:
        return len(self.sheet.load.parts) - len(self.sheet.rows)


def load_sheet(*, sheet: LoadSheet, printing: Printing) -> bytes:
    """Print what lies in a load, with the symbol of each part."""
    with translation.override(sheet.language):
        title = gettext("Load at {station}").format(station=sheet.load.name)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/loads.css")
        return Press(*styles).print("paper/loads.html", Printed(title, sheet, printing))
