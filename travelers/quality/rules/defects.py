"""How bad is a defect, and what may be decided of it?"""

from enum import StrEnum
from uuid import UUID, uuid5

from travelers.kit.refusals import gettext_noop, refusal

# So many photos of one defect are kept.
MOST_PHOTOS = 3


class Severity(StrEnum):
    MINOR = "MINOR"
    MAJOR = "MAJOR"
    STOP = "STOP"


class Decision(StrEnum):
    USE_AS_IS = "USE_AS_IS"
    REWORK = "REWORK"
    DOWNGRADE = "DOWNGRADE"
    SCRAP = "SCRAP"
    REPLACE = "REPLACE"


def hold_id_of(event_id: UUID) -> UUID:
    """Say the id of the hold that a defect's event places, the same at each try."""
    return uuid5(event_id, "hold")


ALREADY_DECIDED = refusal(
    "quality.already_decided",
    gettext_noop("This defect was decided on {decided_at} by {person}."),
    gettext_noop("Record a new defect if there is something new to decide."),
)
REASON_MISSING = refusal(
    "quality.reason_missing",
    gettext_noop("A decision needs its reason."),
    gettext_noop("Say in a few words why."),
    status=422,
)
NOT_THROUGH = refusal(
    "quality.not_through",
    gettext_noop("The rework is not finished: {operation} is still to be done."),
    gettext_noop("Wait until the part has passed it, then look at the part."),
)
NOTHING_TO_VERIFY = refusal(
    "quality.nothing_to_verify",
    gettext_noop("Nothing was done again because of this defect."),
    gettext_noop("Only a rework is looked at afterwards."),
)
ALREADY_VERIFIED = refusal(
    "quality.already_verified",
    gettext_noop("{person} found this rework good on {verified_at}."),
    gettext_noop("Record a new defect if it is not good after all."),
)
NOT_A_WAY_BACK = refusal(
    "quality.not_a_way_back",
    gettext_noop("{operation} is not behind this part; it cannot go back there."),
    gettext_noop("Choose an operation of the same branch that is done already."),
    status=422,
)
KIND_NOT_HERE = refusal(
    "quality.kind_not_here",
    gettext_noop("That kind of defect is not found on this part at this stage."),
    gettext_noop("Choose one of the kinds shown."),
    status=422,
)
# Where photos are kept, beneath the folder of all files.
FOLDER = "defects"
PHOTO_GONE = refusal(
    "quality.photo_gone",
    gettext_noop("This photo is not kept here, or is not as it was stored."),
    gettext_noop("Tell the admin; a backup may still have it."),
    status=404,
)
