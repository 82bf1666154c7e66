"""What do people write down when they decide, hold or let pass?"""

from travelers.quality.rules import Decision

ALLOWED: dict[str, tuple[str, ...]] = {
    "floor.too_long_since": (
        "Bench was down; read again and still dry",
        "Lay over the weekend in the dry room, looked at it",
        "Window missed by hours, wiped and scuffed by hand first",
    ),
    "floor.out_of_tolerance": (
        "Checked with a second gauge, good for this model",
        "Will be taken up at setup, noted on the card",
        "One place only, next to the master it fits",
        "Tried the mate dry: it fits",
    ),
    "floor.still_dwelling": ("Clamp needed, bead is hard all round",),
    "floor.too_soon": ("Booth is warm today, touch test is dry",),
    "floor.no_room": ("Stands on the trolley until a place is free",),
}
ALLOWED_ELSE = ("Looked at it myself, can go on",)
HELD: tuple[str, ...] = (
    "Colour to be compared with the sample in daylight",
    "Customer asked to wait: finish may change",
    "Grain match doubted, planner asks for photos",
    "Glue batch under test",
    "Moisture of the load to be read again",
    "Drawing of the pocket being checked",
    "Wood papers incomplete",
    "Short of tuners in this finish",
)
LIFTED: tuple[str, ...] = (
    "Checked and good",
    "Customer has answered, goes on as ordered",
    "Test piece was sound",
    "Papers have come",
    "Read again: inside",
)
DECIDED: dict[Decision, tuple[str, ...]] = {
    Decision.USE_AS_IS: (
        "Not seen under strings, no harm",
        "Goes away in the next sanding",
        "Within what the master shows",
    ),
    Decision.DOWNGRADE: (
        "Sound, but not first choice: plain finish",
        "Second choice, told the planner",
    ),
    Decision.REWORK: (
        "Can be put right without new wood",
        "Back and do it again, then look closely",
        "Level it and go through again",
    ),
    Decision.SCRAP: (
        "Runs too deep to be filled",
        "Not safe under tension",
        "Cannot be brought back to size",
    ),
    Decision.REPLACE: (
        "Only this part is lost, the rest is good",
        "Made anew of other wood, its mate waits",
    ),
}
FOUND: tuple[str, ...] = (
    "",
    "",
    "",
    "Near the edge",
    "Only seen in the slanting light",
    "About as long as a thumbnail",
    "Second one this week",
    "By the pocket",
)
