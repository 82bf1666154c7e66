"""Is a tablet known by its token, and by nothing else?"""

from datetime import UTC, datetime

import pytest
from django.http import HttpRequest
from django.test import RequestFactory

from tests import make
from tests.cast import TOKEN
from tests.constraints import change
from travelers.shop.sessions import TABLET_COOKIE, tablet_of

pytestmark = pytest.mark.django_db


def asked_with(token: str | None) -> HttpRequest:
    request = RequestFactory().get("/")
    if token is not None:
        request.COOKIES[TABLET_COOKIE] = token
    return request


def test_a_tablet_is_known_by_its_token(shop: make.Shop) -> None:
    assert tablet_of(asked_with(TOKEN)) == shop.cast.tablet


@pytest.mark.parametrize("token", [None, "", "another", TOKEN.upper()])
def test_no_other_token_is_a_tablets(shop: make.Shop, token: str | None) -> None:
    assert tablet_of(asked_with(token)) is None


def test_a_revoked_tablet_is_none(shop: make.Shop) -> None:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    change(shop.cast.tablet, revoked_at=at, revoked_by=shop.cast.lead)()
    assert tablet_of(asked_with(TOKEN)) is None
