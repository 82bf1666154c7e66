"""What do the outbox's tests find ready?"""

import pytest

from tests import make
from tests.outbox.tablet import Outbox


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@pytest.fixture
def outbox(shop: make.Shop) -> Outbox:
    """Give a tablet at the saw on which the joiner is signed in."""
    return Outbox(shop).enter()
