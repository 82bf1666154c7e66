"""Are a removed person and a revoked tablet shut out by every process at once?"""

import time
from collections.abc import Callable

import pytest

from tests import make
from tests.cast import TOKEN
from tests.drill.conftest import Say
from tests.drill.tablet import Tablet
from tests.serving import Server, Visitor
from tests.shop.bench import give
from travelers.shop.actions import revoke_badge, revoke_tablet
from travelers.shop.models import Person
from travelers.shop.sessions import TABLET_COOKIE

pytestmark = pytest.mark.timeout(600)
# Within this everybody who asks is refused, whichever process answers.
WITHIN_S = 1
ASKED = 20


def removed(shop: make.Shop) -> None:
    Person.objects.filter(username="joiner").update(is_active=False)


def put_out(shop: make.Shop) -> None:
    revoke_tablet(tablet=shop.cast.tablet, by=shop.cast.lead, at=shop.now)


def badge_taken(shop: make.Shop) -> None:
    revoke_badge(person=shop.cast.joiner, by=shop.cast.lead, at=shop.now)


@pytest.mark.proof("S5")
@pytest.mark.parametrize("shut", [removed, put_out, badge_taken])
def test_s5_who_is_shut_out_is_refused_by_every_process(
    shop: make.Shop, server: Server, say: Say, shut: Callable[[make.Shop], None]
) -> None:
    """S5: signed in by a badge at an enrolled tablet, served by two processes."""
    badge = give(shop)["joiner"]
    server.start()
    tablet = Tablet(server.visitor(), iter(()))
    visitor = tablet.visitor
    visitor.cookies[TABLET_COOKIE] = TOKEN
    visitor.ask("GET", "/sign-in/")
    token = {"csrfmiddlewaretoken": visitor.cookies["csrftoken"]}
    assert visitor.ask("POST", "/sign-in/", token | {"badge": badge}).status == 302
    # So often that both processes know the session.
    assert {_status(visitor) for _ in range(ASKED)} == {200}
    began = time.perf_counter()
    shut(shop)
    first = _status(visitor)
    took = time.perf_counter() - began
    assert {first, *(_status(visitor) for _ in range(ASKED))} <= {302, 403}
    assert took < WITHIN_S
    say(f"{shut.__name__}: refused {took * 1000:.0f} ms after it was begun")


def _status(visitor: Visitor) -> int:
    return visitor.ask("GET", "/station/SAW/").status
