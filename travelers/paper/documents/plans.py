"""How is a cut plan printed, to lie beside the saw?"""

from dataclasses import dataclass
from datetime import datetime

from django.utils import translation
from django.utils.translation import gettext

from travelers.kit.refusals import gettext_noop
from travelers.paper.documents.press import Press
from travelers.paper.queries import PlanSheet

CAUTIONS = (
    ("W088", gettext_noop("Moving blade. Guard and riving knife on, hands clear.")),
    ("M004", gettext_noop("Wear eye protection.")),
    ("M003", gettext_noop("Wear ear protection.")),
    ("M017", gettext_noop("Wood dust harms lungs. Mask on, extraction on.")),
)


@dataclass(frozen=True, slots=True)
class Printed:
    title: str
    sheet: PlanSheet
    cautions: tuple[tuple[str, str], ...]
    at: datetime
    by: str


def cut_plan(*, sheet: PlanSheet, at: datetime, by: str) -> bytes:
    """Print where the saw goes, and what it gives."""
    with translation.override(sheet.language):
        title = gettext("Cut plan of plank {number}").format(number=sheet.plank.number)
        cautions = tuple((sign, gettext(said)) for sign, said in CAUTIONS)
        styles = ("paper/paper.css", f"paper/{sheet.size}.css", "paper/plans.css")
        page = Printed(title, sheet, cautions, at, by)
        return Press(*styles).print("paper/plan.html", page)
