"""Does a tablet let the right person in, that person only, and at its station only?"""

import re
from collections.abc import Callable
from copy import deepcopy
from datetime import timedelta
from time import perf_counter
from typing import Any
from uuid import uuid4

import pytest
from django.contrib.auth.hashers import Argon2PasswordHasher, make_password
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import get_resolver

from tests import make
from tests.desk import client, text_of
from tests.floor.story import at
from tests.floor.tablet import PIECE, fields
from tests.floor.tablet import Tablet as Screen
from tests.house.one_of_each import furnish
from tests.house.test_doors import DOORS, fill, patterns
from tests.shop.bench import NUMBERS, PIN, Bench, give
from travelers.floor.models import Event
from travelers.shop.actions import revoke_badge, revoke_tablet
from travelers.shop.models import Person, Session, Tablet
from travelers.shop.sessions import HEARD_COOKIE

pytestmark = [pytest.mark.django_db, pytest.mark.once]
STATION = "/station/SAW/"


@pytest.fixture
def badges(shop: make.Shop) -> dict[str, str]:
    return give(shop)


@pytest.fixture
def bench(shop: make.Shop, badges: dict[str, str]) -> Bench:
    return Bench(shop)


def test_a_tablet_asks_for_a_badge_in_the_name_of_its_station(bench: Bench) -> None:
    answer = bench.get(STATION)
    assert answer.url == "/sign-in/?next=/station/SAW/"
    page = bench.get(answer.url)
    assert "Scan your badge" in text_of(page)
    assert ">Saw<" in text_of(page)
    assert "no-store" in page.headers["Cache-Control"]


def test_a_badge_signs_in_and_leads_to_the_station(
    bench: Bench, badges: dict[str, str]
) -> None:
    assert bench.badge(badges["joiner"]).url == STATION
    assert bench.who() == "joiner"


def test_number_and_pin_sign_in(bench: Bench) -> None:
    assert bench.pin(NUMBERS["joiner"]).url == STATION
    assert bench.who() == "joiner"


def test_one_comes_back_to_where_one_was_at_this_station(
    bench: Bench, badges: dict[str, str]
) -> None:
    there = f"{STATION}?code=P000010F"
    assert bench.badge(badges["joiner"], next=there).url == there
    for elsewhere in ("/board/", "/station/BOOTH/", "https://x.example/station/SAW/"):
        assert bench.badge(badges["joiner"], next=elsewhere).url == STATION


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"number": "0417", "pin": "000001"}, "shop.not_known"),
        ({"number": "0418", "pin": PIN}, "shop.not_known"),
        ({"number": "", "pin": ""}, "shop.not_known"),
        ({"badge": "HTTP://SHOP.LAN/B/AAAAAAAAAAAAAAAAAAAAAAAAAA"}, "badge_not_known"),
        ({"badge": "P000010F"}, "shop.not_a_badge"),
        ({"badge": "\0"}, "shop.not_known"),
    ],
)
def test_what_is_wrong_is_refused_on_the_same_screen(
    bench: Bench, typed: dict[str, str], said: str
) -> None:
    answer = bench.post("/sign-in/", **typed)
    assert answer.status_code == 403
    assert said in text_of(answer)
    assert 'id="pin"' in text_of(answer)
    assert PIN not in text_of(answer)
    assert bench.who() == ""


def test_a_number_stays_typed_and_a_pin_does_not(bench: Bench) -> None:
    said = text_of(bench.pin("0417", "314159"))
    assert 'value="0417"' in said
    assert "314159" not in said


# --- S10: sessions


@pytest.mark.twice
def test_s10_every_change_of_person_gives_a_new_key(
    bench: Bench, badges: dict[str, str]
) -> None:
    keys = []
    for name in ("joiner", "finisher", "joiner", "joiner"):
        bench.badge(badges[name])
        assert bench.who() == name
        keys.append(bench.key)
    assert len(set(keys)) == 4
    assert Session.objects.filter(session_key__in=keys).count() == 1


def test_s10_signing_out_kills_the_session_at_the_server(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    old = deepcopy(bench.client.cookies)
    answer = bench.post("/sign-out/", next=STATION)
    assert answer.url == STATION
    bench.client.cookies = old
    assert bench.who() == ""


@pytest.mark.parametrize(
    ("minutes", "who"), [(9, "joiner"), (14.9, "joiner"), (15.1, "")]
)
def test_s10_the_server_ends_what_is_idle(
    bench: Bench, badges: dict[str, str], minutes: float, who: str
) -> None:
    """The page itself does it after ten minutes; five more are for a dead network."""
    bench.badge(badges["joiner"])
    bench.shop.later(minutes=minutes)
    key = bench.key
    assert bench.who() == who
    assert Session.objects.filter(session_key=key).exists() is bool(who)


def test_s10_news_that_a_page_asks_for_by_itself_keeps_nobody_in(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    for _ in range(3):
        bench.shop.later(minutes=6)
        for path in (f"{STATION}?seen=0-0", f"{STATION}due.json"):
            bench.get(path, headers={"X-Shop-By-Itself": "1"})
    assert bench.who() == ""


def test_s10_a_touch_is_heard(bench: Bench, badges: dict[str, str]) -> None:
    bench.badge(badges["joiner"])
    for _ in range(5):
        bench.shop.later(minutes=6)
        assert bench.post("/sign-in/here/").status_code == 204
    assert bench.who() == "joiner"


def test_s10_without_the_word_of_when_somebody_was_there_the_session_ends(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    del bench.client.cookies[HEARD_COOKIE]
    assert bench.who() == ""


def test_s10_the_word_of_another_session_counts_for_nothing(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    word = bench.client.cookies[HEARD_COOKIE].value
    bench.badge(badges["finisher"])
    bench.client.cookies[HEARD_COOKIE] = word
    assert bench.who() == ""


def test_s10_after_twelve_hours_it_ends_however_busy(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    for _ in range(71):
        bench.shop.later(minutes=10)
        assert bench.post("/sign-in/here/").status_code == 204
    bench.shop.later(minutes=9)
    assert bench.who() == "joiner"
    bench.shop.later(minutes=1)
    assert bench.who() == ""


def test_s10_at_a_desk_too(shop: make.Shop) -> None:
    desk = Bench(shop, token=None)
    sent = {"username": "planner", "password": "plank-and-string"}
    assert desk.post("/sign-in/", **sent).status_code == 302
    shop.later(hours=11, minutes=59)
    assert desk.get("/orders/").status_code == 200
    shop.later(minutes=1)
    assert desk.get("/orders/").status_code == 302


# --- S5, and tablets that were put out


@pytest.mark.proof("S5")
def test_s5_whoever_was_removed_is_refused_within_a_second(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    assert bench.who() == "joiner"
    begun = perf_counter()
    Person.objects.filter(username="joiner").update(is_active=False)
    refused = bench.get(STATION)
    took = perf_counter() - begun
    assert refused.url == "/sign-in/?next=/station/SAW/"
    assert took < 1
    assert bench.badge(badges["joiner"]).status_code == 403
    assert bench.pin(NUMBERS["joiner"]).status_code == 403


def test_s8_a_revoked_badge_opens_nothing_and_its_session_is_dead(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    revoke_badge(
        person=bench.shop.cast.joiner, by=bench.shop.cast.lead, at=bench.shop.now
    )
    assert bench.who() == ""
    assert bench.badge(badges["joiner"]).status_code == 403
    fresh = give(bench.shop, "joiner")
    assert bench.badge(badges["joiner"]).status_code == 403
    assert bench.badge(fresh["joiner"]).status_code == 302


@pytest.mark.proof("S5")
def test_a_revoked_tablet_is_refused_at_its_next_request(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    begun = perf_counter()
    revoke_tablet(tablet=bench.tablet, by=bench.shop.cast.lead, at=bench.shop.now)
    refused = bench.get(STATION)
    assert perf_counter() - begun < 1
    assert refused.status_code == 302
    page = bench.get(refused.url)
    assert page.status_code == 403
    assert "This tablet is no longer let in." in text_of(page)
    assert bench.client.cookies["tablet"].value == ""


@pytest.mark.twice
def test_a_session_is_dead_with_its_tablet_even_if_its_row_is_left(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    Tablet.objects.update(revoked_at=bench.shop.now, revoked_by=bench.shop.cast.lead)
    assert Session.objects.filter(tablet=bench.tablet).exists()
    assert bench.who() == ""


# --- S7: from a device that is not let in


def test_s7_pin_and_badge_open_nothing_from_elsewhere(
    shop: make.Shop, badges: dict[str, str]
) -> None:
    stranger = Bench(shop, token=None)
    wrong = Bench(shop).pin("0417", "000001")
    right = stranger.pin("0417")
    assert right.status_code == wrong.status_code == 403
    assert refusal_in(text_of(right)) == refusal_in(text_of(wrong))
    assert stranger.badge(badges["joiner"]).status_code == 403
    assert stranger.who() == ""


def refusal_in(page: str) -> str:
    found = re.search(r'<section class="answer-plate.*?</section>', page, re.DOTALL)
    assert found
    return found[0]


def test_s7_saying_no_takes_the_same_time_whatever_is_wrong(
    shop: make.Shop, settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As many slow hashes are made for each, and of the same kind; no clock is read."""
    settings.PASSWORD_HASHERS = [
        "django.contrib.auth.hashers.Argon2PasswordHasher",
    ]
    give(shop, "joiner")
    made: list[str] = []

    def counted(slow: Callable[..., Any]) -> Callable[..., Any]:
        def hashed(*given: Any) -> Any:
            made.append(slow.__name__)
            return slow(*given)

        return hashed

    for name in ("encode", "verify"):
        slow = getattr(Argon2PasswordHasher, name)
        monkeypatch.setattr(Argon2PasswordHasher, name, counted(slow))
    counts = []
    for bench, number, pin in (
        (Bench(shop), "0417", "000001"),
        (Bench(shop), "0418", PIN),
        (Bench(shop, token=None), "0417", PIN),
        (Bench(shop, token=None), "0418", PIN),
    ):
        made.clear()
        assert bench.pin(number, pin).status_code == 403
        counts.append(len(made))
    assert counts == [1, 1, 1, 1]


def test_a_tablet_takes_no_password(bench: Bench) -> None:
    sent = {"username": "joiner", "password": "plank-and-string"}
    assert bench.post("/sign-in/", **sent).status_code == 403
    assert bench.who() == ""


# --- A tablet opens its station's screens only


@pytest.mark.twice
def test_a_tablet_opens_its_stations_screens_only(
    bench: Bench, badges: dict[str, str]
) -> None:
    """Walk every address as somebody who may enter everywhere, at a tablet."""
    world = furnish(bench.shop)
    Person.objects.filter(username="lead").update(is_admin=True)
    bench.badge(badges["lead"])
    opened = set()
    for written, door in DOORS.items():
        if door.public:
            continue
        for method in ("GET", "POST"):
            way = door.get if method == "GET" else door.post
            if way is None or written == "sign-out/":
                continue
            send = bench.client.get if method == "GET" else bench.client.post
            with bench.now():
                answer = send(fill(written, door.fills(world)), dict(way.sends(world)))
            if answer.status_code == 403 and "shop.not_at_tablets" in text_of(answer):
                continue
            opened.add((method, written))
    assert opened == {
        ("GET", ""),
        ("GET", "station/<str:code>/"),
        ("GET", "station/<str:code>/wish/"),
        ("POST", "station/<str:code>/wish/"),
        ("GET", "station/<str:code>/reading/"),
        ("POST", "station/<str:code>/reading/"),
        ("GET", "station/<str:code>/help/"),
        ("GET", "station/<str:code>/scan/"),
        ("POST", "station/<str:code>/scan/"),
        ("GET", "station/<str:code>/several/"),
        ("POST", "station/<str:code>/several/"),
        ("GET", "station/<str:code>/batch/"),
        ("POST", "station/<str:code>/batch/"),
        ("GET", "station/<str:code>/cutters/"),
        ("POST", "station/<str:code>/cutters/"),
        ("GET", "station/<str:code>/study/"),
        ("GET", "station/<str:code>/study/<int:number>/"),
        ("POST", "station/<str:code>/study/<int:number>/"),
        ("GET", "station/<str:code>/answer/"),
        ("POST", "station/<str:code>/answer/"),
        ("GET", "T/<str:code>"),
        ("POST", "sign-in/here/"),
        ("GET", "quality/report/"),
        ("POST", "quality/report/"),
        ("GET", "quality/outline/<slug:part>/<slug:shape>.svg"),
    }
    assert bench.get("/").url == STATION


def test_a_tablet_opens_nothing_of_the_back_door(
    bench: Bench, badges: dict[str, str]
) -> None:
    Person.objects.filter(username="lead").update(is_admin=True)
    bench.badge(badges["lead"])
    for written, _ in patterns(get_resolver()):
        if not written.startswith("admin/") or "login" in written:
            continue
        address = "/" + re.sub(r"<[^>]*>", "1", written).replace("(?P", "")
        assert bench.get(address).status_code in (403, 404), written


@pytest.mark.parametrize(
    "address",
    ["/station/BOOTH/", "/station/BOOTH/wish/", "/station/BOOTH/scan/", "/station/NO/"],
)
def test_another_station_is_refused_in_words(
    bench: Bench, badges: dict[str, str], address: str
) -> None:
    bench.badge(badges["joiner"])
    answer = bench.get(address)
    assert answer.status_code == 403
    assert "This tablet belongs to Saw and opens that station only." in text_of(answer)
    assert bench.post(address).status_code == 403


@pytest.mark.twice
def test_a_defect_is_reported_at_the_tablets_own_station_only(
    bench: Bench, badges: dict[str, str]
) -> None:
    """Its station comes with the form, and whoever writes forms may write another."""
    shop = bench.shop
    step = at(shop, shop.part(shop.instrument()), "Machine")
    said = {"step": step.pk, "kind": "TEAR_OUT", "severity": "MAJOR", "x": ".4", "y": 0}
    bench.badge(badges["joiner"])
    report = "/quality/report/"
    for station in ("CUTTER", "NO", ""):
        answer = bench.post(report, station=station, event_id=str(uuid4()), **said)
        assert answer.status_code == 403
        assert "This tablet belongs to Saw" in text_of(answer)
        asked = f"{report}?step={step.pk}&station={station}"
        assert bench.get(asked).status_code == 403
    assert not Event.objects.exclude(accepted=True).exists()
    assert not Event.objects.filter(kind="DEFECT").exists()
    own = bench.post(report, station="SAW", event_id=str(uuid4()), **said)
    assert own.status_code == 302
    defect = Event.objects.get(kind="DEFECT")
    assert (defect.station, defect.tablet) == (shop.cast.stations["SAW"], bench.tablet)


def test_the_stations_own_tag_opens_it_too(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    tag = bench.shop.cast.stations["SAW"].tag
    assert bench.get(f"/station/{tag}/").status_code == 200


def test_another_stations_tag_is_refused_where_one_stands(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    tag = bench.shop.cast.stations["BOOTH"].tag
    answer = bench.get(STATION, data={"code": tag, "scanned": 1}, headers=PIECE)
    assert answer.status_code == 403
    assert "This tablet belongs to Saw" in text_of(answer)
    own = bench.get(STATION, data={"code": bench.shop.cast.stations["SAW"].tag})
    assert own.headers["Location"] == STATION


def test_a_printed_tag_opens_at_the_tablets_station(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    body = bench.shop.part(bench.shop.instrument())
    shown = bench.get(f"/T/{body.code}")
    assert shown.url == f"{STATION}?code={body.code}&scanned=1"
    assert bench.get(shown.url).status_code == 200


def test_a_page_at_a_tablet_is_kept_by_no_browser(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    for address in (STATION, "/station/BOOTH/", "/T/P000010F", "/board/"):
        assert bench.get(address).headers["Cache-Control"] == "no-store", address


def test_the_head_of_a_refusal_offers_no_places(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    page = text_of(bench.get("/board/"))
    assert "<nav" not in page
    assert "Back to the station" in page


# --- Whose work is it?


def test_an_event_says_at_which_tablet_it_was_made(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    body = bench.shop.part(bench.shop.instrument())
    screen = Screen(bench.shop, "SAW", by="", client=bench.client)
    assert screen.scan(body).wish("START").status == 200
    assert Event.objects.get().tablet == bench.tablet
    assert Event.objects.get().person == bench.shop.cast.joiner


def test_an_event_of_a_desk_has_no_tablet(shop: make.Shop) -> None:
    Screen(shop, "SAW").scan(shop.part(shop.instrument())).wish("START")
    assert Event.objects.get().tablet is None


def test_what_the_formers_page_sends_is_never_credited_to_the_next(
    shop: make.Shop, badges: dict[str, str]
) -> None:
    """A form carries the word of the sign-in under which it was made."""
    bench = Bench(shop, client=Client(enforce_csrf_checks=True))
    sign_in_guarded(bench, badges["joiner"])
    screen = Screen(shop, "SAW", by="", client=bench.client)
    pressed = screen.scan(shop.part(shop.instrument())).form(
        "#scene form:has([value=START])"
    )
    sign_in_guarded(bench, badges["finisher"])
    screen.submit(pressed)
    assert screen.status == 403
    assert "This page is from before the last sign-in" in screen.page.get_text()
    assert "nothing was recorded" in screen.page.get_text()
    assert not Event.objects.exists()
    assert bench.who() == "finisher"


def sign_in_guarded(bench: Bench, badge: str) -> None:
    screen = Screen(bench.shop, "SAW", by="", client=bench.client)
    screen.open("/sign-in/")
    assert screen.submit(screen.form("[data-shop-badge]"), badge=badge).status == 302


def test_a_press_on_a_screen_whose_person_left_is_nobodys(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    screen = Screen(bench.shop, "SAW", by="", client=bench.client)
    pressed = screen.scan(bench.shop.part(bench.shop.instrument())).form(
        "#scene form:has([value=START])"
    )
    bench.post("/sign-out/")
    screen.submit(pressed)
    assert screen.status == 302
    assert not Event.objects.exists()


@pytest.mark.twice
def test_a_badge_in_an_address_is_taken_out_at_once_and_opens_nothing(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    answer = bench.get(STATION, data={"code": badges["finisher"], "scanned": 1})
    assert answer.headers["Location"] == STATION
    page = text_of(bench.get(STATION))
    assert "Tap your name above, then scan the badge." in page
    assert badges["finisher"].rpartition("/")[2] not in page
    assert bench.who() == "joiner"


def test_a_badge_is_never_written_to_the_ledger(
    bench: Bench, badges: dict[str, str]
) -> None:
    shop = bench.shop
    body = shop.part(shop.instrument())
    shop.work(body, until="Glue")
    screen = Screen(shop, "CLAMPS").scan(body).wish("START")
    before = Event.objects.count()
    screen.submit(screen.form("#scan-form"), mate=badges["finisher"])
    assert screen.status == 303
    assert Event.objects.count() == before


def test_the_name_leaves_by_a_tap(bench: Bench, badges: dict[str, str]) -> None:
    bench.badge(badges["joiner"])
    screen = Screen(bench.shop, "SAW", by="", client=bench.client).open()
    assert "Joiner Cast" in screen.form("#person").get_text()
    assert screen.submit(screen.form("#person")).status == 302
    assert bench.who() == ""


# --- What it costs


@pytest.mark.twice
def test_a_tablet_costs_a_scan_no_statement_more(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    desk = Bench(bench.shop, token=None, client=client(bench.shop, "joiner"))
    counts = []
    for asking in (bench, desk):
        body = bench.shop.part(bench.shop.instrument())
        asking.get(STATION)
        screen = Screen(bench.shop, "SAW", by="", client=asking.client).scan(body)
        pressed = screen.form("#scene form:has([value=START])")
        with CaptureQueriesContext(connection) as shown:
            asking.get(STATION, data={"code": body.code})
        with CaptureQueriesContext(connection) as caught:
            asking.post(str(pressed["action"]), **fields(pressed))
        counts.append((len(shown), len(caught)))
    assert Event.objects.filter(accepted=True).count() == 2
    assert counts[0] == counts[1]


def test_that_a_tablet_was_heard_is_written_now_and_then(
    bench: Bench, badges: dict[str, str]
) -> None:
    bench.badge(badges["joiner"])
    written = 0
    for _ in range(20):
        bench.shop.later(seconds=20)
        with CaptureQueriesContext(connection) as caught:
            bench.get(STATION)
        written += sum(q["sql"].startswith('UPDATE "shop_tablet"') for q in caught)
    assert written == 2
    heard = Tablet.objects.get(pk=bench.tablet.pk).heard_at
    assert heard
    assert bench.shop.now - heard < timedelta(minutes=5)


@pytest.mark.twice
def test_everybody_types_the_same_number_of_digits_over_again(shop: make.Shop) -> None:
    """A PIN that begins with noughts is a PIN like any other."""
    Person.objects.filter(username="joiner").update(
        number="0007", pin=make_password("001122")
    )
    assert Bench(shop).pin("0007", "001122").status_code == 302
    assert Bench(shop).pin("7", "1122").status_code == 403
