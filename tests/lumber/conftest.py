"""What do the tests of lumber find ready?"""

import pytest

from tests import make


@pytest.fixture
def shop() -> make.Shop:
    return make.shop()
