"""Who works at which stations in which shift, and who decides there?"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Job:
    """In which shift and on which days somebody works, and at which stations."""

    shift: str
    stations: tuple[str, ...]
    days: str = "12345"


HANDS: dict[str, Job] = {
    "marta": Job("DAY", ("RIP-1", "WEIGH-1", "BAND-1")),
    "jonas": Job("DAY", ("DRY-A", "DRY-B", "MOIST-1")),
    "sunniva": Job("DAY", ("PLANE-1",)),
    "aiko": Job("DAY", ("GLUE-1",), days="135"),
    "kwame": Job("DAY", ("VAC-1", "GLUE-2"), days="135"),
    "dilnoza": Job("DAY", ("CNC-B1", "REST-1")),
    "mateus": Job("LATE", ("CNC-B1", "CNC-N1")),
    "hyejin": Job("DAY", ("CNC-N1", "SLOT-1")),
    "oskar": Job("DAY", ("CNC-B2", "INSERT-1"), days="24"),
    "nia": Job("DAY", ("SAND-B1", "EDGE-1"), days="135"),
    "farid": Job("DAY", ("SAND-N1", "FRET-1")),
    "lupe": Job("DAY", ("TRIM-1", "LEVEL-1")),
    "tevita": Job("DAY", ("OIL-1", "NUT-1", "NLOOK-1")),
    "bronagh": Job("DAY", ("PRINT-1", "UV-1", "SEAL-1")),
    "stellan": Job("DAY", ("CURE-A", "CURE-B", "SPRAY-1")),
    "ngozi": Job("DAY", ("SPRAY-2",)),
    "ravi": Job("LATE", ("SPRAY-2",)),
    "ilse": Job("DAY", ("WET-1",)),
    "pavel": Job("DAY", ("BUFF-1", "LOOK-1")),
    "yusra": Job("DAY", ("SOLDER-1", "ETEST-1")),
    "kaleo": Job("DAY", ("JOINT-1", "ASSY-1")),
    "linh": Job("DAY", ("ASSY-2", "SETUP-2")),
    "irena": Job("DAY", ("HANG-1", "SETUP-1")),
    "sefa": Job("DAY", ("BOOTH-1", "FINAL-1", "PACK-1")),
    "dario": Job("LATE", ("PLAY-1",)),
}


def hands_at(station: str) -> tuple[str, ...]:
    return tuple(name for name, job in HANDS.items() if station in job.stations)


# Whoever is asked when something stands out of its limits, by stage.
LEADS: dict[str, str] = {
    "LUMBER": "tariq",
    "DRYING": "tariq",
    "GLUING": "tariq",
    "MACHINING": "lev",
    "SANDING": "lev",
    "FRETTING": "brigid",
    "FINISHING": "irena",
    "CURING": "irena",
    "POLISHING": "irena",
    "ASSEMBLY": "brigid",
    "TEST_PLAY": "brigid",
}
HOLDERS = ("quentin", "sefa", "marisol", "lev", "tariq", "brigid")
QA = ("quentin", "sefa", "marisol")
PLANNERS = ("pia", "hamish")
ROUTE_ENGINEER = "rosa"
# Who takes glue, lacquer and the like into the store.
STOREKEEPER = "tariq"
