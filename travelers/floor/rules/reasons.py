"""For which reasons does the floor say no?  A closed set."""

from travelers.kit.refusals import gettext_noop, refusal

LEAD = ("lead", "qa")

UNKNOWN_CODE = refusal(
    "floor.unknown_code",
    gettext_noop("No part, piece or instrument here has the code {code}."),
    gettext_noop("Scan again, or type the eight letters printed under the symbol."),
    status=404,
)
CODE_SHORT = refusal(
    "floor.code_short",
    gettext_noop(
        "Only a piece of the code came in: {code}. Characters missing: {missing}."
    ),
    gettext_noop("Scan again, slowly, or type all eight letters under the symbol."),
    status=404,
)
CODE_LONG = refusal(
    "floor.code_long",
    gettext_noop("The code came in too long: {code}. Two scans may have run together."),
    gettext_noop("Scan again, one symbol at a time."),
    status=404,
)
CODE_FOREIGN = refusal(
    "floor.code_foreign",
    gettext_noop("This is not one of the shop's tags: {code}."),
    gettext_noop("Scan the square symbol on the traveler or on the part's tag."),
    status=404,
)
CODE_MISREAD = refusal(
    "floor.code_misread",
    gettext_noop("One character of {code} is not right."),
    gettext_noop("Scan again, or compare it letter by letter with the tag."),
    status=404,
)
CODE_LAYOUT = refusal(
    "floor.code_layout",
    gettext_noop("{code} looks as if it was typed with another keyboard layout."),
    gettext_noop(
        "If the tag shows what stands below, choose it; the lead sets the layout right."
    ),
    status=404,
)
CARD_ELSEWHERE = refusal(
    "floor.card_elsewhere",
    gettext_noop("This is the card “{card_word}” and no part's tag."),
    gettext_noop("Scan it at a station, after the part that it is for."),
    status=404,
)
KIND_CARD_ELSEWHERE = refusal(
    "floor.kind_card_elsewhere",
    gettext_noop("This card names a kind of defect that is not asked for now."),
    gettext_noop("Scan part, card “defect” and place; then a kind that is shown."),
    status=404,
)
CARD_NOT_NOW = refusal(
    "floor.card_not_now",
    gettext_noop("The card “{card_word}” does nothing here now."),
    gettext_noop("What goes now: {cards}."),
)
CARD_NEEDS_PART = refusal(
    "floor.card_needs_part",
    gettext_noop("No part is on the screen for the card “{card_word}”."),
    gettext_noop("Scan the part first, then the card."),
)
NOT_ALLOTTED = refusal(
    "floor.not_allotted",
    gettext_noop("No instrument is made of {thing_word} {number} yet."),
    gettext_noop("Leave it with its set until its order is released."),
    status=404,
)
MAY_NOT = refusal(
    "floor.may_not",
    gettext_noop("{person} does not do this kind of work here."),
    gettext_noop("Let somebody do it whose work it is, or sign in as yourself."),
    status=403,
)
CLOSED = refusal(
    "floor.closed",
    gettext_noop("Instrument {serial} left the floor on {closed_at}: {how_word}."),
    gettext_noop("Put the part aside and show it to the lead."),
)
HELD = refusal(
    "floor.held",
    gettext_noop("{what} has been held since {held_at}, by {person}: “{reason}”."),
    gettext_noop("Leave it where it lies; QA or the lead lifts the hold."),
)
NOT_HERE = refusal(
    "floor.not_here",
    gettext_noop("{operation} is not done at this station but at {place}."),
    gettext_noop("Take the part to {place}, or ask the lead to let it pass here."),
    may_allow=LEAD,
)
NOT_QUALIFIED = refusal(
    "floor.not_qualified",
    gettext_noop("{person} is not qualified for this: {operation}, {kind_word}."),
    gettext_noop("Let somebody do it who is, or ask the lead to let it pass."),
    status=403,
    may_allow=LEAD,
)
BEFORE_ITS_TURN = refusal(
    "floor.before_its_turn",
    gettext_noop("That was too early: {operation} had its turn from {since_at} on."),
    gettext_noop("Look at the time once more, and at what came before."),
)
COMES_LATER = refusal(
    "floor.comes_later",
    gettext_noop("{operation} comes later; still open before it: {open}."),
    gettext_noop("Do that first and scan it there."),
)
ALREADY_DONE = refusal(
    "floor.already_done",
    gettext_noop("{operation} was done on {finished_at} by {person}."),
    gettext_noop("Nothing is left to do; scan the part to see what comes next."),
)
DROPPED = refusal(
    "floor.dropped",
    gettext_noop("{operation} was taken off this part's route."),
    gettext_noop("Scan the part to see what comes next."),
)
NOT_NOW = refusal(
    "floor.not_now",
    gettext_noop("{operation} is {state_word} and cannot be changed that way."),
    gettext_noop("Scan the part again to see what can be done now."),
)
STILL_DWELLING = refusal(
    "floor.still_dwelling",
    gettext_noop("{operation}: the part has to lie until {until_at}."),
    gettext_noop("Leave it and come back then, or ask the lead to let it pass."),
    may_allow=LEAD,
)
TOO_SOON = refusal(
    "floor.too_soon",
    gettext_noop("{operation} may begin at {until_at}, not before."),
    gettext_noop("Let the last coat rest until then."),
    may_allow=LEAD,
)
TOO_LONG_SINCE = refusal(
    "floor.too_long_since",
    gettext_noop("{operation} had to begin by {until_at}; the time has run out."),
    gettext_noop("Measure or prepare the part again, then let the lead decide."),
    may_allow=LEAD,
)
WOOD_UNREAD = refusal(
    "floor.wood_unread",
    gettext_noop("This wood was not read in the last {days} days."),
    gettext_noop("Read each piece with the moisture meter, then scan it again."),
    may_allow=LEAD,
)
WOOD_TOO_WET = refusal(
    "floor.wood_too_wet",
    gettext_noop("Piece {piece} reads {value} %; it must be below {limit} %."),
    gettext_noop("Leave it in its room; the room's page says when it will be dry."),
    may_allow=LEAD,
)
WOOD_LAY_TOO_LONG = refusal(
    "floor.wood_lay_too_long",
    gettext_noop(
        "This wood was last read on {read_at}; by now it may be at {limit} % again."
    ),
    gettext_noop("Read each piece again; what is too wet goes back into its room."),
    may_allow=LEAD,
)
NO_ROOM = refusal(
    "floor.no_room",
    gettext_noop("{station} has no place free; taken: {places}."),
    gettext_noop("Take out what is ready first, or ask the lead for a place."),
    may_allow=LEAD,
)
LOAD_ELSEWHERE = refusal(
    "floor.load_elsewhere",
    gettext_noop("This load was begun at {station}."),
    gettext_noop("Open the list of this station and scan its parts there."),
)
LIES_ALREADY = refusal(
    "floor.lies_already",
    gettext_noop("{operation}: it has been at {place} since {since_at}."),
    gettext_noop("Take it off this list; it is in already."),
)
NOT_IN_YET = refusal(
    "floor.not_in_yet",
    gettext_noop("{operation}: it does not lie here."),
    gettext_noop("Take it off this list and load it first."),
)
NOT_LAID = refusal(
    "floor.not_laid",
    gettext_noop("{operation} is done one part at a time."),
    gettext_noop("Take it off this list and scan it by itself."),
)
LIST_FULL = refusal(
    "floor.list_full",
    gettext_noop("The list has {most} parts, and a list takes no more."),
    gettext_noop("Confirm these first, then go on with the next."),
    status=422,
)
CHECK_MISSING = refusal(
    "floor.check_missing",
    gettext_noop("Still to be checked: {checks}."),
    gettext_noop("Measure and record it, then go on."),
    may_allow=LEAD,
)
OUT_OF_TOLERANCE = refusal(
    "floor.out_of_tolerance",
    gettext_noop("Out of tolerance: {checks}."),
    gettext_noop("Measure again, record a defect, or ask the lead to let it pass."),
    may_allow=LEAD,
)
GAUGE_MISSING = refusal(
    "floor.gauge_missing",
    gettext_noop("{check} is measured with a {kind}, and none was named."),
    gettext_noop("Choose the gauge that lies at the station."),
    status=422,
)
GAUGE_OTHER_KIND = refusal(
    "floor.gauge_other_kind",
    gettext_noop("{gauge} is a {kind}; {check} is measured with a {wanted}."),
    gettext_noop("Take the {wanted} and scan its label."),
)
GAUGE_OVERDUE = refusal(
    "floor.gauge_overdue",
    gettext_noop("{gauge} was due for calibration on {due}."),
    gettext_noop("Take another gauge and bring this one to QA."),
    may_allow=LEAD,
)
MATES_MISSING = refusal(
    "floor.mates_missing",
    gettext_noop("Not scanned yet: {mates_words}."),
    gettext_noop("Scan the tag or label of each, then go on."),
)
BATCH_MISSING = refusal(
    "floor.batch_missing",
    gettext_noop("No batch was scanned at this station yet: {materials}."),
    gettext_noop("Scan the label of the batch in use; it then counts for all parts."),
    may_allow=LEAD,
)
BATCH_EXPIRED = refusal(
    "floor.batch_expired",
    gettext_noop("Batch {number} of {material} was good until {day}."),
    gettext_noop("Put it aside and scan a newer one, or ask the lead."),
    may_allow=LEAD,
)
BATCH_HELD = refusal(
    "floor.batch_held",
    gettext_noop(
        "Batch {number} of {material} is held since {held_at} by {person}: “{reason}”."
    ),
    gettext_noop("Put it aside and scan another; QA or the lead lifts the hold."),
)
BATCH_OTHER_MATERIAL = refusal(
    "floor.batch_other_material",
    gettext_noop("Batch {number} is {material}; {operation} uses {wanted}."),
    gettext_noop("Take what is asked for and scan its label."),
)
BATCH_NUMBER_TAKEN = refusal(
    "floor.batch_number_taken",
    gettext_noop("Batch {number} of {material} was taken in already."),
    gettext_noop("Print its label again, or look at the number once more."),
)
NOT_BY_BATCH = refusal(
    "floor.not_by_batch",
    gettext_noop("{material} is traced by serial number and has no batches."),
    gettext_noop("Scan each piece at the bench where it is built in."),
    status=422,
)
NO_SUCH_BATCH_HOLD = refusal(
    "floor.no_such_batch_hold",
    gettext_noop("Batch {number} has no open hold of that kind."),
    gettext_noop("Look at its page; it may have been lifted already."),
)
SERIALS_MISSING = refusal(
    "floor.serials_missing",
    gettext_noop("Serial number still to be scanned: {materials}."),
    gettext_noop("Scan it off the piece that is built in, or type it."),
    may_allow=LEAD,
)
SERIAL_USED = refusal(
    "floor.serial_used",
    gettext_noop("{material} {number} was built into {other} already."),
    gettext_noop(
        "Scan the piece in your hand; one that was taken out is for the lead."
    ),
    may_allow=LEAD,
)
SERIAL_UNREAD = refusal(
    "floor.serial_unread",
    gettext_noop("“{typed}” cannot be a serial number."),
    gettext_noop("Three to 24 letters and digits: scan again, or type it."),
    status=422,
)
SERIAL_NOT_ASKED = refusal(
    "floor.serial_not_asked",
    gettext_noop("{operation} asks for no further serial number."),
    gettext_noop("Scan the part again to see what it needs."),
    status=422,
)
WRONG_MATE = refusal(
    "floor.wrong_mate",
    gettext_noop("This tag belongs to {owner}, not to {serial}."),
    gettext_noop("Fetch the part with the tag of {serial}; the other stays as it is."),
)
OTHER_SET = refusal(
    "floor.other_set",
    gettext_noop("This piece is of set {set}; the body is made of set {wanted}."),
    gettext_noop("Take the pieces of set {wanted}; wood of two planks never meets."),
)
NOT_A_MATE = refusal(
    "floor.not_a_mate",
    gettext_noop("{operation} does not ask for this part."),
    gettext_noop("Scan one of: {mates_words}."),
)
NOT_A_CHECK = refusal(
    "floor.not_a_check",
    gettext_noop("{operation} has no such check."),
    gettext_noop("Scan the part again to see its checks."),
    status=422,
)
REASON_MISSING = refusal(
    "floor.reason_missing",
    gettext_noop("A reason is needed and none was given."),
    gettext_noop("Say in a few words why."),
    status=422,
)
NO_SUCH_HOLD = refusal(
    "floor.no_such_hold",
    gettext_noop("There is no open hold of that kind on {serial}."),
    gettext_noop("Look at the instrument's page; it may have been lifted already."),
)
NOT_LET_PASS = refusal(
    "floor.not_let_pass",
    gettext_noop("Nobody can allow this."),
    gettext_noop("Put right what the screen asks for."),
)
NOT_ASKABLE = refusal(
    "floor.not_askable",
    gettext_noop("That no longer stands in the way of {operation}."),
    gettext_noop("Scan the part again and go on."),
)
ASKED_ALREADY = refusal(
    "floor.asked_already",
    gettext_noop("The lead has been asked already to let {operation} pass."),
    gettext_noop("Wait for the answer, or fetch the lead."),
)
NO_SUCH_EVENT = refusal(
    "floor.no_such_event",
    gettext_noop("Nothing that was accepted for {operation} has that number."),
    gettext_noop("Look at the instrument's page for what was recorded."),
    status=404,
)
UNDONE_ALREADY = refusal(
    "floor.undone_already",
    gettext_noop("{operation}, {kind_word}: taken back by {person} on {undone_at}."),
    gettext_noop("Scan the part to see how it stands now."),
)
NEVER_UNDONE = refusal(
    "floor.never_undone",
    gettext_noop("{operation}, {kind_word}: this is never taken back."),
    gettext_noop("A hold is lifted, a defect decided; what else was said stands."),
)
UNDO_OTHERS = refusal(
    "floor.undo_others",
    gettext_noop("{operation}, {kind_word}: that was {person}, not you."),
    gettext_noop("Let {person} or the lead take it back."),
)
UNDO_LATE = refusal(
    "floor.undo_late",
    gettext_noop("{operation}, {kind_word}: that was more than {minutes} minutes ago."),
    gettext_noop("Ask the lead; it can be taken back on the instrument's page."),
)
UNDO_DEPENDS = refusal(
    "floor.undo_depends",
    gettext_noop("{operation}, {kind_word}: what came later needs it: {later_words}."),
    gettext_noop("Ask the lead, who can take all of it back together."),
)
UNDO_STUCK = refusal(
    "floor.undo_stuck",
    gettext_noop("{operation}, {kind_word}: QA decided since then: {later_words}."),
    gettext_noop("Go on from there; the decision stands."),
)
UNDO_SWAPPED = refusal(
    "floor.undo_swapped",
    gettext_noop(
        "{operation}, {kind_word}: the part went to {serial} since, on {swapped_at}."
    ),
    gettext_noop("It stands; what is wrong now is put right by a new decision of QA."),
)
SWAP_ASSEMBLY = refusal(
    "floor.swap_assembly",
    gettext_noop("The assembly is {serial} itself and is not swapped."),
    gettext_noop("Swap the part that shall go into the other instrument."),
)
SWAP_SAME = refusal(
    "floor.swap_same",
    gettext_noop("{code} belongs to {serial} itself."),
    gettext_noop("Name the other instrument, or scan the tag of its part."),
)
SWAP_OTHER_BRANCH = refusal(
    "floor.swap_other_branch",
    gettext_noop(
        "{code} of {other} is from the {other_word} branch, that of {serial} from "
        "the {branch_word} branch."
    ),
    gettext_noop("Swap a part for one of the same kind."),
)
SWAP_OTHER_ROUTE = refusal(
    "floor.swap_other_route",
    gettext_noop("{other} is built as {other_route}, {serial} as {route}."),
    gettext_noop("Choose an instrument of the same model and revision."),
)
SWAP_OTHER_OPTIONS = refusal(
    "floor.swap_other_options",
    gettext_noop("{other} is ordered as {other_finish}, {serial} as {finish}."),
    gettext_noop("Choose an instrument that is ordered alike."),
)
SWAP_JOINED = refusal(
    "floor.swap_joined",
    gettext_noop("{operation} of {serial} was begun, and {code} is part of it."),
    gettext_noop("Take that back first, or choose another instrument."),
)
SWAP_IN_WORK = refusal(
    "floor.swap_in_work",
    gettext_noop("{operation} of {serial} is in work."),
    gettext_noop("Finish it, or take its start back, then swap."),
)
SWAP_LIES = refusal(
    "floor.swap_lies",
    gettext_noop("{operation} of {serial}: the part lies to dry or cure."),
    gettext_noop("Take it out first, then swap."),
)
SWAP_OUTDATED = refusal(
    "floor.swap_outdated",
    gettext_noop("{code} belongs to {serial} now, not to {shown}."),
    gettext_noop("Look at both parts again, then decide."),
)
OTHER_CONTENT = refusal(
    "floor.other_content",
    gettext_noop("This scan came in before and said something else."),
    gettext_noop("Scan again; if it comes back, show it to the lead."),
    status=422,
)
VALUE_EMPTY = refusal(
    "floor.value_empty",
    gettext_noop("No value was given yet."),
    gettext_noop("Type what the gauge shows."),
    status=422,
)
VALUE_TOO_LONG = refusal(
    "floor.value_too_long",
    gettext_noop("That is far too long for one value."),
    gettext_noop("Take it out and type what the gauge shows."),
    status=422,
)
VALUE_NOT_A_NUMBER = refusal(
    "floor.value_not_a_number",
    gettext_noop("“{typed}” cannot be read as a number."),
    gettext_noop("Type digits with one mark, like 43.5 or 43,5."),
    status=422,
)
VALUE_TWO_MARKS = refusal(
    "floor.value_two_marks",
    gettext_noop("“{typed}” has more than one mark, and any may be the decimal one."),
    gettext_noop("Type it with one mark only, like 1234.5 or 1234,5."),
    status=422,
)
VALUE_OTHER_UNIT = refusal(
    "floor.value_other_unit",
    gettext_noop("{check} is measured in {unit}, not in {typed_unit}."),
    gettext_noop("Set the gauge to {unit} and read it again."),
    status=422,
)
VALUE_UNKNOWN_UNIT = refusal(
    "floor.value_unknown_unit",
    gettext_noop("“{unit}” behind the number is no unit that is known here."),
    gettext_noop("Set the gauge to the unit of the check, or type the number alone."),
    status=422,
)
VALUE_NOT_WHOLE = refusal(
    "floor.value_not_whole",
    gettext_noop("{check} is counted: a whole number, none or more."),
    gettext_noop("Count again and type how many there are."),
    status=422,
)
VALUE_TOO_FINE = refusal(
    "floor.value_too_fine",
    gettext_noop("“{typed}” has more digits than any gauge here shows."),
    gettext_noop("Type at most four digits behind the mark."),
    status=422,
)
VALUE_DOUBTED = refusal(
    "floor.value_doubted",
    gettext_noop("{value} {unit} is far off; {likely} {unit} may have been meant."),
    gettext_noop("Look at the gauge once more and choose."),
    status=422,
)
