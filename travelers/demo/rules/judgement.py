"""How bad is a defect, what is decided of it, and how far does a part go back?"""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from travelers.quality.rules import Decision, Severity
from travelers.routes.rules import Joins, Line, OperationKind

# (decision, weight) by what the shop usually decides.  No source, the demo's own.
DECISIONS: dict[str, tuple[tuple[Decision, int], ...]] = {
    "REWORK": (
        (Decision.REWORK, 78),
        (Decision.USE_AS_IS, 15),
        (Decision.DOWNGRADE, 7),
    ),
    "DOWNGRADE": (
        (Decision.DOWNGRADE, 65),
        (Decision.USE_AS_IS, 25),
        (Decision.REWORK, 10),
    ),
    "USE_AS_IS": ((Decision.USE_AS_IS, 90), (Decision.DOWNGRADE, 10)),
}
# What is usually scrapped is mostly saved all the same; taken in turn, so that some
# always is not, and some part is made anew.
USUALLY_SCRAPPED = (
    Decision.REWORK,
    Decision.DOWNGRADE,
    Decision.REWORK,
    Decision.SCRAP,
    Decision.USE_AS_IS,
    Decision.REPLACE,
)
SEVERITIES: dict[str, tuple[tuple[Severity, int], ...]] = {
    "SCRAP": ((Severity.STOP, 50), (Severity.MAJOR, 50)),
    "REWORK": ((Severity.STOP, 8), (Severity.MAJOR, 57), (Severity.MINOR, 35)),
    "DOWNGRADE": ((Severity.MAJOR, 50), (Severity.MINOR, 50)),
    "USE_AS_IS": ((Severity.MINOR, 100),),
}
# What can only be put right under new coats goes back to the lacquer booth.
IN_THE_FILM = frozenset(
    {
        "RUN",
        "SAG",
        "ORANGE_PEEL",
        "FISHEYE",
        "BLUSH",
        "SOFT_FILM",
        "SAND_THROUGH",
        "WITNESS",
        "PRINT_THROUGH",
    }
)
# What the wood did goes back to the clamps or to the drying room.
IN_THE_GLUE = frozenset({"OPEN_GLUE", "STARVED", "STEP_JOINT", "VENEER_WAVE"})
IN_THE_WOOD = frozenset({"WARP", "CUP", "BLANK_TWIST", "CASE_HARD"})


@dataclass(frozen=True, slots=True)
class KindSaid:
    code: str
    usual: str


def severity_of(kind: KindSaid, chance: Random) -> Severity:
    severities, weights = zip(*SEVERITIES[kind.usual], strict=True)
    found: Severity = chance.choices(severities, weights)[0]
    return found


def decision_of(
    kind: KindSaid, severity: Severity, before: int, chance: Random
) -> Decision:
    """Decide as usual; ``before`` counts the decisions of such kinds so far."""
    if kind.usual == "SCRAP":
        return USUALLY_SCRAPPED[before % len(USUALLY_SCRAPPED)]
    if severity is Severity.MINOR and chance.random() < 0.55:
        return Decision.USE_AS_IS
    decisions, weights = zip(*DECISIONS[kind.usual], strict=True)
    made: Decision = chance.choices(decisions, weights)[0]
    return made


def way_back(lines: Sequence[Line], kind: KindSaid, chance: Random) -> int | None:
    """Choose from which operation on a part goes through again."""
    if not lines:
        return None
    for codes, fits in (
        (IN_THE_FILM, lambda line: line.times > 4),
        (IN_THE_GLUE, lambda line: line.joins is Joins.PIECES),
        (IN_THE_WOOD, lambda line: line.kind is OperationKind.HOLD),
    ):
        behind = [line for line in lines if fits(line)]
        if behind and kind.code in codes:
            return behind[-1].id
    near = [line for line in lines[-3:] if line.kind is not OperationKind.HOLD]
    return chance.choice(near or list(lines[-1:])).id
