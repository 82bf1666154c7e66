"""What may be cut from a plank, and what must a delivery bring?"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from travelers.formulas.wood import density_kg_m3
from travelers.kit.refusals import Refusal, gettext_noop, refusal

# Wider than any wood is light or heavy (balsa about 160, lignum vitae about 1,250
# kg/m³ when dry; from memory): beyond it a number has slipped.
LIGHTEST_KG_M3, HEAVIEST_KG_M3 = 100, 1_500
# As many letters as there are for the pieces of a set.
MOST_PIECES = 26
# Pieces that differ by more move and sound apart; common practice, no source. Boards of
# one species differ by about 10 % (coefficient of variation, USDA Wood Handbook,
# FPL-GTR-190 (2010), chapter 4); of one plank less.
MOST_SPREAD_PCT = 10
# A truck brings about a hundred; a page of more rows is slow to draw.
MOST_PLANKS_AT_ONCE = 120


class Purpose(StrEnum):
    BODY = "BODY"
    NECK = "NECK"


TRADE_PAPERS_MISSING = refusal(
    "lumber.trade_papers_missing",
    gettext_noop("{species} is under trade control and this delivery names no papers."),
    gettext_noop(
        "Enter the number of the trade papers, or put the wood aside until they come."
    ),
    status=422,
)
NUMBER_TAKEN = refusal(
    "lumber.number_taken",
    gettext_noop("There is a delivery {number} already."),
    gettext_noop("Open that delivery, or give this one another number."),
)
DOES_NOT_FIT = refusal(
    "lumber.does_not_fit",
    gettext_noop(
        "{pieces} pieces of {length} × {width} mm are more wood than plank {plank} has."
    ),
    gettext_noop("Choose fewer or smaller pieces, or another plank."),
    status=422,
)


CUT_MEANWHILE = refusal(
    "lumber.cut_meanwhile",
    gettext_noop("Plank {plank} was cut since this plan was drawn."),
    gettext_noop("Look at its sets, and plan again what is left of it."),
)
PLANK_HELD = refusal(
    "lumber.plank_held",
    gettext_noop("Plank {plank} has been held by QA since {since_at}."),
    gettext_noop("Cut another plank, or ask QA what is wrong with it."),
)


@dataclass(frozen=True, slots=True)
class Sawn:
    """Sizes in mm and mass in g of a plank as it came in."""

    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal
    mass_g: int
    # The number of who looked again at a density that is unlikely, and let it be.
    looked_at_by: int | None = None

    @property
    def volume_mm3(self) -> Decimal:
        return self.length_mm * self.width_mm * self.thickness_mm

    @property
    def density_kg_m3(self) -> float:
        sizes = (self.length_mm, self.width_mm, self.thickness_mm)
        return density_kg_m3(self.mass_g, *map(float, sizes))


@dataclass(frozen=True, slots=True)
class Cut:
    """How many pieces of which size a set has."""

    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal

    @property
    def volume_mm3(self) -> Decimal:
        return self.pieces * self.length_mm * self.width_mm * self.thickness_mm


@dataclass(frozen=True, slots=True)
class Batch:
    """So many like sets for one purpose."""

    purpose: Purpose
    cut: Cut
    count: int


def is_uneven(spread_pct: float | None) -> bool:
    """Say if the pieces of a set differ so much that somebody should look at them."""
    return spread_pct is not None and spread_pct > MOST_SPREAD_PCT


def does_not_fit(
    *, plank: str, whole: Sawn, gone_mm3: Decimal, cut: Cut, sets: int
) -> Refusal | None:
    """Say if the wood is not there for ``sets`` sets; the layout is the sawyer's."""
    fits = (
        cut.length_mm <= whole.length_mm
        and cut.width_mm <= whole.width_mm
        and cut.thickness_mm <= whole.thickness_mm
        and gone_mm3 + sets * cut.volume_mm3 <= whole.volume_mm3
    )
    if fits:
        return None
    return DOES_NOT_FIT.about(
        pieces=str(cut.pieces * sets),
        length=f"{cut.length_mm:f}",
        width=f"{cut.width_mm:f}",
        plank=plank,
    )
