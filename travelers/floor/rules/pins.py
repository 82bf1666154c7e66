"""When can something not be put first in the stations' lists?"""

from travelers.kit.refusals import gettext_noop, refusal

# Why something stands first is read at arm's length, beside the part.
LONGEST_PIN = 80
PIN_OF_CLOSED = refusal(
    "floor.pin_of_closed",
    gettext_noop("{serial} is {how_word}: it stands in no list any more."),
    gettext_noop("Put something first that is still built."),
)
PIN_NOTHING_LEFT = refusal(
    "floor.pin_nothing_left",
    gettext_noop("Nothing is left to be done to it at {station}."),
    gettext_noop("Choose a station that it still comes to, or all lists."),
)
PIN_PAST = refusal(
    "floor.pin_past",
    gettext_noop("The day until which it shall stand first is over already."),
    gettext_noop("Choose today or a later day."),
    status=422,
)
PIN_LIFTED = refusal(
    "floor.pin_lifted",
    gettext_noop("This no longer puts {serial} first."),
    gettext_noop("Look at the list of what is put first; somebody lifted it."),
)
