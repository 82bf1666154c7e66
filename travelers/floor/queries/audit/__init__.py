"""Do the rows that the screens read say what the ledger says?"""

from travelers.floor.queries.audit.checking import (
    Checked,
    check_instrument,
    check_loads,
    check_unknown_codes,
    count_unknown_codes,
    instrument_ids,
)
from travelers.floor.queries.audit.difference import Difference

__all__ = [
    "Checked",
    "Difference",
    "check_instrument",
    "check_loads",
    "check_unknown_codes",
    "count_unknown_codes",
    "instrument_ids",
]
