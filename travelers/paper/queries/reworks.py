"""What stands on the sheet of a rework, which goes with the traveler?"""

from dataclasses import dataclass, replace

from travelers.kit.refusals import Refused
from travelers.paper import rules
from travelers.paper.queries.lines import Section, Tag, Traveler
from travelers.paper.queries.travelers import cautions_of, travelers
from travelers.paper.rules import Size
from travelers.quality import queries as quality
from travelers.quality.queries import Rework


@dataclass(frozen=True, slots=True)
class ReworkSheet:
    """A traveler with the lines alone that are done again, and why they are."""

    rework: Rework
    traveler: Traveler
    tag: Tag


def rework_sheet(*, defect_id: int, size: Size) -> ReworkSheet:
    """Give the lines that a defect's rework put into its part's way."""
    rework = quality.find_rework(defect_id=defect_id)
    if rework is None:
        raise Refused(rules.NOT_SENT_BACK.about(number=str(defect_id)))
    (whole,) = travelers(serials=[rework.serial], size=size)
    sections = tuple(
        Section(section.branch, own)
        for section in whole.route.sections
        if section.branch is rework.branch
        and (own := tuple(e for e in section.entries if e.rework == rework.turn))
    )
    route = replace(
        whole.route, sections=sections, cautions=tuple(cautions_of(sections))
    )
    tag = next(tag for tag in whole.tags if tag.branch is rework.branch)
    return ReworkSheet(rework, replace(whole, route=route), tag)
