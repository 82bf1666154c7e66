"""What do the floor's tests find ready?"""

import pytest

from tests import make
from travelers.orders.models import Part


@pytest.fixture
def shop() -> make.Shop:
    return make.shop()


@pytest.fixture
def body(shop: make.Shop) -> Part:
    """Give the body of an instrument that was just released."""
    return shop.part(shop.instrument())
