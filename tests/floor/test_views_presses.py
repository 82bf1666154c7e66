"""What does a press at a station do, and what does it say?"""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests import make
from tests.floor.tablet import PIECE, Tablet, event_id_of, events, plain, swapped
from travelers.floor.models import Event
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.orders.models import Part, Step

pytestmark = [pytest.mark.django_db, pytest.mark.once]


def step(part: Part) -> Step:
    return part.steps.select_related("operation").get(
        state__in=["READY", "RUNNING", "DWELLING"]
    )


def test_a_plain_step_takes_two_presses(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body).wish("START")
    assert tablet.status == 200
    assert tablet.text.startswith("The work is begun.")
    assert tablet.buttons["Done"]
    shop.later(minutes=20)
    tablet.wish("FINISH")
    assert tablet.status == 200
    assert tablet.text.startswith("This step is done.")
    assert tablet.title == "Dry"
    assert "Goes on at: Room" in tablet.text
    assert events() == [("START", True, ""), ("FINISH", True, "")]


def test_what_cannot_be_done_here_is_greyed_and_says_who_may_let_it_pass(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "BOOTH").scan(body)
    assert tablet.buttons == {"Start": False} | {
        name: True for name in tablet.buttons if name != "Start"
    }
    assert "Saw is not done at this station but at Saw." in tablet.text
    assert "Take the part to Saw, or ask the lead" in tablet.text
    assert "floor.not_here" in tablet.text
    assert "Can be let pass by: lead or QA" in tablet.text
    assert not tablet.page.select("input[value=START], input[value=ALLOW]")


def test_a_press_that_is_refused_all_the_same_is_recorded(
    shop: make.Shop, body: Part
) -> None:
    ready = Tablet(shop, "SAW").scan(body)
    pressed = ready.form("#scene form:has([value=START])")
    pressed["action"] = "/station/BOOTH/wish/"
    ready.submit(pressed)
    assert ready.status == 409
    assert "Saw is not done at this station but at Saw." in ready.text
    assert events() == [("START", False, "floor.not_here")]
    assert step(body).state == "READY"


def test_the_lead_lets_pass_and_the_operator_goes_on(
    shop: make.Shop, body: Part
) -> None:
    lead = Tablet(shop, "BOOTH", by="lead").scan(body)
    assert lead.wish("ALLOW", reason="").status == 422
    assert "A reason is needed" in lead.text
    assert lead.wish("ALLOW", reason="saw is down").status == 200
    assert lead.text.startswith("It may go on, once.")
    assert "May pass once: saw is down" in lead.text
    tablet = Tablet(shop, "BOOTH").scan(body)
    assert tablet.buttons["Start"]
    assert tablet.wish("START").status == 200
    begun = Event.objects.get(kind=Wish.START)
    assert begun.allowed_by == shop.cast.lead
    assert begun.allowed_reason == "saw is down"


def test_what_lies_says_until_when_and_comes_out_then(
    shop: make.Shop, body: Part
) -> None:
    shop.work(body, until="Dry")
    tablet = Tablet(shop, "ROOM").scan(body).wish("LOAD")
    assert tablet.text.startswith("It lies here until 2")
    assert not tablet.buttons["Take out"]
    assert "Dry: the part has to lie until" in tablet.text
    dry = step(body)
    shop.later(days=11)
    shop.check(dry)
    assert tablet.scan(body).buttons["Take out"]
    assert tablet.wish("TAKE_OUT").status == 200
    assert tablet.text.startswith("The part is out.")
    assert tablet.title == "Glue"


def test_a_full_room_says_so(shop: make.Shop) -> None:
    bodies = [shop.part(instrument) for instrument in shop.instruments(4)]
    for body in bodies:
        shop.work(body, until="Dry")
    for body in bodies[:3]:
        assert Tablet(shop, "ROOM").scan(body).wish("LOAD").status == 200
    full = Tablet(shop, "ROOM").scan(bodies[3])
    assert not full.buttons["Load"]
    assert "Room has no place free; taken: 3." in full.text


def test_a_hold_stops_the_part_and_says_why(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    assert tablet.wish("HOLD", reason=" ").status == 422
    assert tablet.wish("HOLD", reason="knot at the edge").status == 200
    assert tablet.text.startswith("The hold is on.")
    assert not tablet.buttons["Start"]
    assert "by Joiner Cast" in tablet.text
    assert "knot at the edge" in tablet.text
    assert "QA or the lead lifts the hold" in tablet.text
    neck = shop.part(body.instrument, "NECK")
    assert Tablet(shop, "SAW").scan(neck).buttons["Start"]


@pytest.fixture
def gluing(shop: make.Shop, body: Part) -> Tablet:
    """Give a tablet at which the gluing of a body was just begun."""
    shop.work(body, until="Glue")
    return Tablet(shop, "CLAMPS").scan(body).wish("START")


def test_while_a_join_runs_a_scan_ticks_what_belongs(
    shop: make.Shop, body: Part, gluing: Tablet
) -> None:
    assert body.plank_set
    first, second = body.plank_set.pieces.order_by("letter")
    assert not gluing.buttons["Done"]
    assert "Not scanned yet" in gluing.text
    gluing.scan(first.code)
    assert gluing.status == 200
    assert gluing.text.startswith("This one belongs here.")
    assert len(gluing.page.select(".mate-in")) == 1
    gluing.scan(codes.link(second.code, "https://tags.example"))
    assert gluing.buttons["Done"]
    gluing.wish("FINISH")
    assert gluing.text.startswith("It lies here until")


def test_wood_of_another_set_is_refused_while_a_join_runs(
    shop: make.Shop, body: Part, gluing: Tablet
) -> None:
    other = shop.plank_set()
    strange = other.pieces.order_by("letter").first()
    assert strange
    gluing.scan(strange.code)
    assert gluing.status == 409
    assert f"This piece is of set {other.number}" in gluing.text
    assert "wood of two planks never meets" in gluing.text
    assert events()[-1] == ("MATE", False, "floor.other_set")
    assert len(gluing.page.select(".mates li:not(.mate-in)")) == 2


def test_a_code_that_nobody_knows_is_refused_while_a_join_runs(
    shop: make.Shop, gluing: Tablet
) -> None:
    gluing.scan("P0000")
    assert gluing.status == 404
    assert events()[-1] == ("MATE", False, "floor.unknown_code")
    assert gluing.title == "Glue"


def test_the_necks_of_two_instruments_cannot_be_mixed_up(shop: make.Shop) -> None:
    mine, other = shop.instruments(2)
    for branch in ("BODY", "NECK"):
        shop.work(shop.part(mine, branch))
    tablet = Tablet(shop, "BENCH").scan(shop.part(mine, "BODY")).wish("START")
    assert "Body" in tablet.form(".mates").get_text(" ")
    tablet.scan(shop.part(other, "NECK"))
    assert tablet.status == 409
    assert f"This tag belongs to {other.serial}, not to {mine.serial}." in tablet.text
    tablet.scan(shop.part(mine, "NECK")).scan(shop.part(mine, "BODY"))
    assert tablet.wish("FINISH").text.startswith("This step is done.")


def test_a_scan_at_other_times_only_shows(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").scan(body).wish("START")
    before = len(events())
    tablet.scan(shop.part(body.instrument, "NECK"))
    assert tablet.title == "Rough"
    assert len(events()) == before


def test_the_parts_own_tag_and_other_tags_lead_on_while_a_join_runs(
    shop: make.Shop, body: Part, gluing: Tablet
) -> None:
    before = len(events())
    gluing.scan(body)
    assert gluing.status == 303
    assert gluing.answer.headers["Location"] == f"/station/CLAMPS/?code={body.code}"
    gluing.scan(shop.cast.stations["SAW"].tag)
    assert len(events()) == before


def test_a_gauge_scanned_while_a_join_runs_is_taken_to_hand(
    shop: make.Shop, body: Part, gluing: Tablet
) -> None:
    before = len(events())
    gluing.scan(shop.cast.gauges["caliper"].tag)
    gluing.open(gluing.answer.headers["Location"])
    assert "caliper is at hand" in gluing.text
    assert gluing.title == "Glue"
    assert len(events()) == before


def test_a_press_with_a_code_that_nobody_knows_is_recorded(
    shop: make.Shop, body: Part
) -> None:
    wrong = body.code[:-1] + ("X" if body.code[-1] != "X" else "Y")
    tablet = Tablet(shop, "SAW").open()
    tablet.client.post(
        "/station/SAW/wish/",
        {"wish": "START", "code": wrong, "event_id": str(uuid4())},
    )
    assert events() == [("START", False, "floor.unknown_code")]
    assert Event.objects.get().code == wrong


@pytest.mark.twice
def test_the_same_press_twice_has_one_effect_and_one_answer(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    pressed = tablet.form("#scene form:has([value=START])")
    first = tablet.submit(pressed)
    answer, text = first.status, first.text
    again = tablet.submit(pressed)
    assert (again.status, again.text) == (answer, text)
    assert events() == [("START", True, "")]


@pytest.mark.twice
def test_a_refused_press_sent_twice_is_refused_once(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    pressed = tablet.form("#scene form:has([value=START])")
    pressed["action"] = "/station/BOOTH/wish/"
    assert tablet.submit(pressed).status == 409
    assert tablet.submit(pressed).status == 409
    assert events() == [("START", False, "floor.not_here")]


def test_a_number_used_for_something_else_is_found_out(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    used = str(event_id_of(tablet.form("#scene form:has([value=START])")))
    tablet.wish("START")
    tablet.wish("FINISH", event_id=used)
    assert tablet.status == 422
    assert "floor.other_content" in tablet.page.get_text()
    assert events() == [
        ("START", True, ""),
        ("FINISH", False, "floor.other_content"),
    ]


def test_pressing_a_button_of_an_old_page_changes_nothing(
    shop: make.Shop, body: Part
) -> None:
    old = Tablet(shop, "SAW").scan(body)
    pressed = old.form("#scene form:has([value=START])")
    new = Tablet(shop, "SAW").scan(body).wish("START")
    new.wish("FINISH")
    old.submit(pressed)
    assert old.status == 409
    assert "Saw was done on" in old.text
    assert "by Joiner Cast" in old.text
    assert old.title == "Dry"
    assert events()[-1] == ("START", False, "floor.already_done")


def test_a_press_answers_with_the_piece_and_its_address(
    shop: make.Shop, body: Part
) -> None:
    whole = Tablet(shop, "SAW").scan(body)
    pressed = whole.form("#scene form:has([value=START])")
    piece = Tablet(shop, "SAW", headers=PIECE).submit(pressed)
    assert not piece.page.select("html, head")
    shown = str(piece.answer.headers["HX-Replace-Url"])
    assert shown == f"/station/SAW/?code={body.code}&step={step(body).pk}"
    piece.page.select_one(".said").decompose()
    reloaded = Tablet(shop, "SAW").open(shown)
    assert swapped(whole.page, piece.page) == plain(reloaded.page)


def test_a_press_leaves_the_head_that_says_the_same(
    shop: make.Shop, body: Part
) -> None:
    begun = Tablet(shop, "SAW").scan(body).wish("START")
    own = f"/station/SAW/?code={body.code}&step={step(body).pk}"
    # The scan's own address has no step yet, so that the head changes with the press.
    for there, sent in ((own, False), ("/station/SAW/?code=" + body.code, True)):
        done = Tablet(shop, "SAW").open(own)
        done.headers = {**PIECE, "HX-Current-URL": f"http://testserver{there}"}
        done.wish("HOLD", reason="knot")
        assert done.answer.headers["HX-Replace-Url"] == own
        reloaded = Tablet(shop, "SAW").open(own).page
        for name in ("lead", "person"):
            assert bool(done.page.find(id=name)) is sent
            assert str(reloaded.find(id=name)) == str(begun.page.find(id=name))
        assert done.page.find(id="scan-form")


@pytest.mark.twice
def test_opening_the_address_of_a_press_shows_the_part(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").open(f"wish/?code={body.code}&step={step(body).pk}")
    assert tablet.status == 303
    assert tablet.answer.headers["Location"] == (
        f"/station/SAW/?code={body.code}&step={step(body).pk}"
    )
    assert events() == []


def test_a_press_that_no_page_made_is_told_so(shop: make.Shop, body: Part) -> None:
    tablet = Tablet(shop, "SAW").open()
    for data in ({}, {"wish": "SCRAP", "event_id": str(uuid4()), "code": body.code}):
        answer = tablet.client.post("/station/SAW/wish/", data)
        assert answer.status_code == 422
        assert b"kit.form_wrong" in answer.content
    assert events() == []


# --- What a tablet that keeps its presses says of one


def test_a_press_tells_its_number_and_what_the_tablets_clock_said(
    shop: make.Shop, body: Part
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    pressed = tablet.form("#scene form:has([value=START])")
    slow = shop.now - timedelta(minutes=7)
    tablet.submit(pressed, tablet_number="41", tablet_at=slow.isoformat())
    event = Event.objects.get(part=body)
    assert (event.tablet_number, event.tablet_at) == (41, slow)
    assert event.happened_at == shop.now


@pytest.mark.twice
@pytest.mark.parametrize(
    ("number", "at"),
    [
        ("-1", "yesterday"),
        ("4.5", "2026-03-10T08:30:00"),
        (str(2**63), "0001-01-01T00:00:00+14:00"),
        ("²", ""),
        ("9" * 5000, "9" * 5000),
    ],
)
def test_what_cannot_be_read_of_it_stops_no_press(
    shop: make.Shop, body: Part, number: str, at: str
) -> None:
    tablet = Tablet(shop, "SAW").scan(body)
    pressed = tablet.form("#scene form:has([value=START])")
    tablet.submit(pressed, tablet_number=number, tablet_at=at)
    event = Event.objects.get(part=body)
    assert (event.accepted, event.tablet_number, event.tablet_at) == (True, None, None)


QUIET = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")


def statements(tablet: Tablet, wish: str, **more: str) -> list[str]:
    """List what a press asks of the database, session and person included."""
    pressed = tablet.form(f"#scene form:has([value={wish}])")
    tablet.headers = PIECE
    with CaptureQueriesContext(connection) as caught:
        tablet.submit(pressed, **more)
    assert tablet.status == 200
    return [q["sql"] for q in caught if not q["sql"].startswith(QUIET)]


def test_a_plain_press_costs_at_most_ten_statements(
    shop: make.Shop, body: Part
) -> None:
    Tablet(shop, "SAW").scan(shop.part(shop.instrument())).wish("START")
    tablet = Tablet(shop, "SAW").scan(body)
    kept = {"tablet_number": "1", "tablet_at": shop.now.isoformat()}
    started = statements(tablet, "START", **kept)
    assert len(started) <= 10, "\n".join(started)
    shop.later(minutes=9)
    finished = statements(tablet, "FINISH")
    assert len(finished) <= 10, "\n".join(finished)
    assert step(body).operation.name == "Dry"


def test_a_press_costs_the_same_when_there_is_more_history(
    shop: make.Shop, body: Part
) -> None:
    shop.work(body, until="Lacquer")
    first = Tablet(shop, "BOOTH").scan(body)
    early = len(statements(first, "START"))
    shop.later(minutes=9)
    shop.must(Wish.FINISH, step(body))
    shop.later(hours=5)
    second = Tablet(shop, "BOOTH").scan(body)
    assert len(statements(second, "START")) == early


def test_a_coat_that_still_rests_says_until_when(shop: make.Shop, body: Part) -> None:
    shop.work(body, until="Lacquer")
    tablet = Tablet(shop, "BOOTH").scan(body).wish("START")
    shop.later(minutes=10)
    tablet.wish("FINISH")
    assert tablet.title == "Lacquer 2/3"
    assert not tablet.buttons["Start"]
    assert "Lacquer 2/3 may begin at" in tablet.text
    shop.now += timedelta(hours=4)
    assert tablet.scan(body).buttons["Start"]
