"""When is a part scrapped alone, with another made in its stead?  Pure."""

from typing import TYPE_CHECKING

from travelers.kit.refusals import Refusal, gettext_noop, refusal
from travelers.routes.rules import Branch

if TYPE_CHECKING:
    from travelers.floor.rules.swap import Side

PART_SCRAPPED = refusal(
    "floor.part_scrapped",
    gettext_noop("This {branch_word} of {serial} was scrapped on {scrapped_at}."),
    gettext_noop("Put it aside; the one that is made instead has the tag {code}."),
)
ANEW_ASSEMBLY = refusal(
    "floor.anew_assembly",
    gettext_noop("{serial} is put together; it is not made anew by itself."),
    gettext_noop("Decide rework, or scrap the instrument."),
)
ANEW_JOINED = refusal(
    "floor.anew_joined",
    gettext_noop("{operation} of {serial} was begun with {code}, which stays in it."),
    gettext_noop("Decide rework, or scrap the instrument as a whole."),
)
NO_WOOD_WANTED = refusal(
    "floor.no_wood_wanted",
    gettext_noop("This part of {serial} wants no other wood."),
    gettext_noop("Look at the instrument's page; somebody may have allotted it."),
)
WANTS_WOOD = refusal(
    "floor.wants_wood",
    gettext_noop("Nothing is there to begin with: {serial} waits for new wood."),
    gettext_noop("Ask the planner or QA to allot a set to the part that is made anew."),
)


def why_not_anew(mine: "Side") -> Refusal | None:
    """Say why a part cannot be scrapped alone, with another made in its stead."""
    if mine.part.branch is Branch.ASSEMBLY:
        return ANEW_ASSEMBLY.about(serial=mine.serial)
    if joined := mine.joined():
        return ANEW_JOINED.about(**dict(joined.words))
    return None
