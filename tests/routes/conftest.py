"""What do the tests of routes find ready?"""

import pytest

from tests import make


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing
