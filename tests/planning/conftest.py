"""What do the tests of planning find ready?"""

import pytest

from tests import make
from travelers.formulas.odds import NO_DOUBT
from travelers.planning.queries.forecast import record


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def trusted(monkeypatch: pytest.MonkeyPatch) -> None:
    """Take futures at their word, so that days can be told by hand."""
    monkeypatch.setattr(record, "DOUBT", NO_DOUBT)
