"""Is each claim of docs/proofs.md proved by a test, or named as open?"""

from tests.house.points import held
from tests.house.proofs import OPEN, PROOFS
from tests.house.test_points import faults


def test_every_claim_has_a_test_or_is_named_as_open() -> None:
    assert faults(PROOFS, held("proof"), OPEN) == []
