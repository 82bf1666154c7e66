"""What have these defective instruments in common, and is it more than chance?

`in_common` answers it: it tests every candidate, adjusts for having asked about all of
them, and puts beneath each suspect what only goes along with it. What it is made of can
be asked alone: `fisher_exact`, `odds_ratio`, `holm`, `benjamini_hochberg`,
`holm_of_counts`, `tell_apart`. `first_pass_yield` and `rolled_yield` say how many come
through without a defect at all.
"""

from travelers.formulas.association.adjust import (
    benjamini_hochberg,
    chance_of_any,
    holm,
    holm_of_counts,
)
from travelers.formulas.association.apart import Explained, tell_apart
from travelers.formulas.association.exact import fisher_exact
from travelers.formulas.association.odds import OddsRatio, odds_ratio
from travelers.formulas.association.suspects import (
    LEVEL,
    Ranking,
    Suspect,
    in_common,
)
from travelers.formulas.association.yields import first_pass_yield, rolled_yield

__all__ = [
    "LEVEL",
    "Explained",
    "OddsRatio",
    "Ranking",
    "Suspect",
    "benjamini_hochberg",
    "chance_of_any",
    "first_pass_yield",
    "fisher_exact",
    "holm",
    "holm_of_counts",
    "in_common",
    "odds_ratio",
    "rolled_yield",
    "tell_apart",
]
