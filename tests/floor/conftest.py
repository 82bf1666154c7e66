"""What do the floor's tests find ready?"""

import pytest

from tests import make
from tests.standing import kept
from travelers.orders.models import Part


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def body(shop: make.Shop) -> Part:
    """Give the body of an instrument that was just released."""
    return shop.part(shop.instrument())
