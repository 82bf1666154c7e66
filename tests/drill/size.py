"""How much is tried: little in each run of all tests, all of it by ``make drill``?"""

import os
from typing import TypeVar

Amount = TypeVar("Amount", int, float)

IS_FULL = os.environ.get("DRILL") == "full"


def sized(short: Amount, full: Amount) -> Amount:
    return full if IS_FULL else short
