"""Is somebody known by a badge or a PIN, and is a guesser told nothing?"""

import logging
from threading import Thread

import pytest
from django.contrib.auth.hashers import make_password
from django.db import connections

from tests import make
from tests.constraints import change
from travelers.kit.refusals import Refused
from travelers.shop.actions import known_by, lift_pause
from travelers.shop.actions.knowing import digest_of
from travelers.shop.models import Badge, Person, PinTry, Tablet
from travelers.shop.rules import MOST_FAILURES, is_easy, read_badge, read_invitation

pytestmark = pytest.mark.django_db

SECRET = "MFRGGZDFMZTWQ2LKNNWG23TPOA"
LINK = f"HTTP://SHOP.LAN/B/{SECRET}"
NUMBER, PIN = "0417", "271828"


@pytest.fixture
def shop(shop: make.Shop) -> make.Shop:
    """Give the joiner a number, a PIN and a badge."""
    joiner = shop.cast.joiner
    change(joiner, number=NUMBER, pin=make_password(PIN))()
    change(shop.cast.finisher, number="9000", pin=make_password(PIN))()
    Badge.objects.create(
        person=joiner, digest=digest_of(SECRET), issued_at=shop.now,
        issued_by=shop.cast.lead,
    )  # fmt: skip
    joiner.refresh_from_db()
    return shop


def code_of(shop: make.Shop, tablet: Tablet | None = None, **shown: str) -> str:
    """Say with which code somebody is refused; nothing if he is known."""
    try:
        known_by(tablet=tablet or shop.cast.tablet, at=shop.now, **shown)
    except Refused as no:
        return no.refusal.code
    return ""


def another_tablet(shop: make.Shop) -> Tablet:
    return Tablet.objects.create(
        name="Booth 1", station=shop.cast.stations["BOOTH"], token_digest="x",
        enrolled_at=shop.now, enrolled_by=shop.cast.lead,
    )  # fmt: skip


@pytest.mark.parametrize("shown", [LINK, SECRET, LINK.lower(), f" {LINK}\n"])
def test_a_badge_says_who_holds_it(shop: make.Shop, shown: str) -> None:
    who = known_by(tablet=shop.cast.tablet, badge=shown, at=shop.now)
    assert who == shop.cast.joiner


@pytest.mark.parametrize(
    "shown",
    [SECRET[:-1], SECRET + "A", f"HTTP://SHOP.LAN/T/{SECRET}", "P0000000", "x", "\0"],
)
def test_what_is_no_badge_is_refused(shop: make.Shop, shown: str) -> None:
    assert code_of(shop, badge=shown) == "shop.badge_not_known"


def test_a_revoked_badge_is_refused_at_once(shop: make.Shop) -> None:
    change(Badge.objects.get(), revoked_at=shop.now, revoked_by=shop.cast.lead)()
    assert code_of(shop, badge=LINK) == "shop.badge_not_known"


def test_number_and_pin_say_who_typed_them(shop: make.Shop) -> None:
    who = known_by(tablet=shop.cast.tablet, number=NUMBER, pin=PIN, at=shop.now)
    assert who == shop.cast.joiner


@pytest.mark.parametrize(
    ("number", "pin"),
    [
        (NUMBER, "271829"), (NUMBER, ""), ("0418", PIN), ("", PIN), ("", ""),
        ("٠٤١٧", PIN), (f"{NUMBER}0", PIN), (NUMBER, PIN + "\0"),
    ],
)  # fmt: skip
def test_all_that_is_wrong_is_refused_alike(
    shop: make.Shop, number: str, pin: str
) -> None:
    assert code_of(shop, number=number, pin=pin) == "shop.not_known"


def test_whoever_left_is_known_no_more(shop: make.Shop) -> None:
    Person.objects.filter(pk=shop.cast.joiner.pk).update(is_active=False)
    assert code_of(shop, number=NUMBER, pin=PIN) == "shop.not_known"
    assert code_of(shop, badge=LINK) == "shop.badge_not_known"


def test_somebody_without_a_pin_is_not_known_by_an_empty_one(shop: make.Shop) -> None:
    change(shop.cast.lead, number="1000")()
    assert code_of(shop, number="1000", pin="") == "shop.not_known"


def test_s7_a_device_that_was_never_let_in_learns_nothing(shop: make.Shop) -> None:
    for shown in ({"number": NUMBER, "pin": PIN}, {"badge": LINK}):
        with pytest.raises(Refused):
            known_by(tablet=None, at=shop.now, **shown)
    with pytest.raises(Refused) as right:
        known_by(tablet=None, number=NUMBER, pin=PIN, at=shop.now)
    with pytest.raises(Refused) as wrong:
        known_by(tablet=shop.cast.tablet, number=NUMBER, pin="000001", at=shop.now)
    assert right.value.refusal == wrong.value.refusal


def test_a_revoked_tablet_knows_nobody(shop: make.Shop) -> None:
    tablet = shop.cast.tablet
    tablet.revoked_at = shop.now
    assert code_of(shop, tablet, badge=LINK) == "shop.tablet_revoked"
    assert code_of(shop, tablet, number=NUMBER, pin=PIN) == "shop.tablet_revoked"


def fail(shop: make.Shop, number: str = NUMBER, times: int = MOST_FAILURES) -> None:
    for _ in range(times):
        assert code_of(shop, number=number, pin="111222") == "shop.not_known"


def test_s6_five_wrong_pins_pause_that_person_at_that_tablet_only(
    shop: make.Shop, caplog: pytest.LogCaptureFixture
) -> None:
    with caplog.at_level(logging.WARNING):
        fail(shop)
    assert code_of(shop, number=NUMBER, pin=PIN) == "shop.not_known"
    assert code_of(shop, badge=LINK) == ""
    assert code_of(shop, number="9000", pin=PIN) == ""
    assert code_of(shop, another_tablet(shop), number=NUMBER, pin=PIN) == ""
    assert f"number={NUMBER} tablet={shop.cast.tablet.pk}" in caplog.text
    assert "111222" not in caplog.text


def test_s6_the_pause_ends_after_five_minutes_and_not_before(shop: make.Shop) -> None:
    fail(shop)
    shop.later(seconds=299)
    assert code_of(shop, number=NUMBER, pin=PIN) == "shop.not_known"
    shop.later(seconds=1)
    assert code_of(shop, number=NUMBER, pin="111222") == "shop.not_known"
    assert code_of(shop, number=NUMBER, pin=PIN) == ""


def test_s6_a_right_pin_begins_the_count_anew(shop: make.Shop) -> None:
    fail(shop, times=MOST_FAILURES - 1)
    assert code_of(shop, number=NUMBER, pin=PIN) == ""
    fail(shop, times=MOST_FAILURES - 1)
    assert code_of(shop, number=NUMBER, pin=PIN) == ""


def test_s6_a_number_that_nobody_has_is_paused_alike(shop: make.Shop) -> None:
    fail(shop, number="5555")
    assert PinTry.objects.get(number="5555").failures == MOST_FAILURES


def test_s6_the_lead_lifts_a_pause(
    shop: make.Shop, caplog: pytest.LogCaptureFixture
) -> None:
    fail(shop)
    with caplog.at_level(logging.WARNING):
        assert lift_pause(person=shop.cast.joiner, by=shop.cast.lead) == 1
    assert code_of(shop, number=NUMBER, pin=PIN) == ""
    assert f"person={shop.cast.joiner.pk} by={shop.cast.lead.pk}" in caplog.text


@pytest.mark.django_db(transaction=True)
def test_s6_many_guesses_at_once_get_five_looks(
    shop: make.Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[str] = []

    def look(pin: str, encoded: str) -> bool:
        looks.append(pin)
        return False

    monkeypatch.setattr("travelers.shop.actions.knowing.check_password", look)

    def guess(first: int) -> None:
        for number in range(first, 120, 8):
            code_of(shop, number=NUMBER, pin=f"{number:06}")
        connections.close_all()

    threads = [Thread(target=guess, args=(first,)) for first in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(looks) == MOST_FAILURES
    assert PinTry.objects.get().failures == MOST_FAILURES


def test_the_secret_is_read_out_of_whatever_link_was_printed() -> None:
    assert read_badge("https://another.example:8443/B/" + SECRET.lower()) == SECRET
    assert read_badge(LINK + LINK) == ""


def test_an_invitation_is_read_as_a_hand_types_it() -> None:
    assert read_invitation("ab0o-il2v ") == "AB00112V"
    assert read_invitation("HTTP://SHOP.LAN/TABLET/#AB001122") == "AB001122"


@pytest.mark.parametrize(
    ("pin", "easy"),
    [("000000", True), ("123456", True), ("987654", True), ("271828", False)],
)
def test_an_easy_pin_is_known_as_such(pin: str, easy: bool) -> None:
    assert is_easy(pin) is easy
