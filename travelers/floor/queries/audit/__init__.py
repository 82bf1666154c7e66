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
from travelers.floor.queries.audit.heads import (
    Head,
    NotAHead,
    compare_heads,
    heads,
    read_head,
)

__all__ = [
    "Checked",
    "Difference",
    "Head",
    "NotAHead",
    "check_instrument",
    "check_loads",
    "check_unknown_codes",
    "compare_heads",
    "count_unknown_codes",
    "heads",
    "instrument_ids",
    "read_head",
]
