"""What do the outbox's tests find ready?"""

import pytest

from tests import make
from tests.outbox.tablet import Outbox


@pytest.fixture
def shop(db: None) -> make.Shop:
    return make.shop()


@pytest.fixture
def outbox(shop: make.Shop) -> Outbox:
    """Give a tablet at the saw on which the joiner is signed in."""
    return Outbox(shop).enter()
