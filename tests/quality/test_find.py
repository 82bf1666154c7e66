"""Does one field find everything, for whoever may see it?"""

from uuid import uuid4

import pytest
from bs4 import BeautifulSoup
from django.test import Client

from tests import desk, make
from tests.desk import main_of, queries_of
from tests.standing import kept
from travelers.floor.models import Event, Load, MaterialUse
from travelers.floor.rules import Wish
from travelers.formulas import codes
from travelers.orders.models import Part
from travelers.quality.models import Defect
from travelers.quality.queries import Sort, search_all
from travelers.routes.models import DefectKind, MaterialNeed
from travelers.shop.actions import change_cutter

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(standing: make.Shop) -> make.Shop:
    return standing


@kept
def body(shop: make.Shop) -> Part:
    return shop.part(shop.instrument())


def leads(client: Client, text: str) -> str:
    return str(client.get("/find/", {"q": text}).headers.get("Location", ""))


def words(client: Client, text: str) -> str:
    page = BeautifulSoup(main_of(client.get("/find/", {"q": text})), "html.parser")
    return " ".join(page.get_text(" ").split())


def find_defect(shop: make.Shop, body: Part) -> Defect:
    step = shop.step_of(body)
    assert step
    shop.scan(
        Wish.DEFECT, body, step=step, kind="TEAR_OUT", x="0.4", y="0.3",
        severity="MINOR", note="",
    )  # fmt: skip
    return Defect.objects.create(
        event=Event.objects.get(kind="DEFECT"), part=body, step=step,
        kind=DefectKind.objects.get(code="TEAR_OUT"), severity="MINOR", x="0.4",
        y="0.3",
    )  # fmt: skip


def furnish(shop: make.Shop, body: Part) -> dict[str, str]:
    """Give each sort of thing with a number, and where that shall lead."""
    wood = body.plank_set
    assert wood
    piece, serial = wood.pieces.earliest("pk"), body.instrument.serial
    make.use_materials(make.draft(shop.model, shop.cast, "Z"))
    glue = shop.batch()
    need = MaterialNeed.objects.exclude(material=glue.material).earliest("pk")
    shop.scan(Wish.START, body)
    MaterialUse.objects.create(
        event=Event.objects.latest("seq"), need=need, serial="TR-77-4"
    )
    cutter = change_cutter(
        station_id=shop.cast.stations["SAW"].pk, head="left", number="C-31",
        life_parts=9, by=shop.cast.joiner, at=shop.now,
    )  # fmt: skip
    load = Load.objects.create(
        pk=uuid4(), station=shop.cast.stations["ROOM"], person=shop.cast.joiner,
        begun_at=shop.now,
    )  # fmt: skip
    defect = find_defect(shop, body)
    gauge, saw = shop.cast.gauges["caliper"], shop.cast.stations["SAW"]
    set_page, plank = f"/moisture/{wood.number}/", wood.plank
    return {
        serial.lower(): f"/instrument/{serial}/",
        codes.grouped(body.code): f"/T/{body.code}",
        codes.link(body.code): f"/T/{body.code}",
        body.instrument.order.number: f"/orders/{body.instrument.order.number}/",
        wood.number: set_page,
        wood.code: set_page,
        piece.code: set_page,
        f"{wood.number}-{piece.letter}": set_page,
        plank.number: f"/lumber/plank/{plank.number}/",
        plank.code: f"/lumber/plank/{plank.number}/",
        plank.delivery.number: f"/lumber/{plank.delivery.number}/",
        glue.number: f"/materials/batch/{glue.code}/",
        glue.code: f"/materials/batch/{glue.code}/",
        "tr-77-4": f"/quality/trace/serial/{need.material.code}.TR-77-4/",
        "c-31": f"/quality/trace/cutter/@{cutter.pk}/",
        gauge.tag: f"/quality/gauges/{gauge.tag}/",
        gauge.name: f"/quality/gauges/{gauge.tag}/",
        "SAW": "/station/SAW/",
        saw.tag: "/station/SAW/",
        f"#{defect.pk}": f"/quality/defects/{defect.pk}/",
        str(load.pk): f"/quality/trace/load/{load.pk}/",
    }


def test_a_whole_number_goes_straight_to_its_page(shop: make.Shop, body: Part) -> None:
    qa = desk.client(shop, "qa")
    for text, url in furnish(shop, body).items():
        assert leads(qa, text) == url, text
        assert qa.get(url).status_code in {200, 302}, text


def test_a_piece_of_a_number_will_do(shop: make.Shop, body: Part) -> None:
    qa = desk.client(shop, "qa")
    furnish(shop, body)
    pieces = {"R-77": "/quality/trace/serial/", "-31": "/quality/trace/cutter/"}
    for text, url in pieces.items():
        assert leads(qa, text).startswith(url)
    assert leads(qa, body.code[:7]) == f"/T/{body.code}"
    neck = shop.part(body.instrument, "NECK")
    both = words(qa, body.code[:5])
    assert "More than one thing may be meant" in both
    assert codes.grouped(body.code) in both
    assert f"neck, {body.instrument.serial}" in both
    assert codes.grouped(neck.code) in both
    # Of a whole number's owners none is a piece of another's.
    other = shop.instrument()
    assert other.serial in words(qa, other.serial[:-1])
    assert leads(qa, other.serial) == f"/instrument/{other.serial}/"


def test_things_are_told_by_their_kind_in_words(shop: make.Shop, body: Part) -> None:
    furnish(shop, body)
    order = body.instrument.order.number
    text = words(desk.client(shop, "qa"), order[:2])
    assert f"Instruments {body.instrument.serial} Wren, Tide Green, {order}" in text
    assert "on the floor" in text
    assert f"Orders {order}" in text


def test_a_list_is_cut_and_says_so(shop: make.Shop) -> None:
    made = desk.released(shop, 14)
    text = words(desk.client(shop, "planner"), made[0].serial[:2])
    assert made[11].serial in text
    assert made[12].serial not in text
    assert "There are more; type more of the number." in text


@pytest.mark.parametrize(
    ("who", "closed"), [("joiner", "/orders/"), ("engineer", "/quality/defects/")]
)
def test_nobody_is_led_where_they_may_not_enter(
    shop: make.Shop, body: Part, who: str, closed: str
) -> None:
    reader = desk.client(shop, who)
    for text, url in furnish(shop, body).items():
        assert (leads(reader, text) == url) is not url.startswith(closed), text


def test_without_orders_one_is_led_to_what_is_built(
    shop: make.Shop, body: Part
) -> None:
    joiner, order = desk.client(shop, "joiner"), body.instrument.order.number
    assert leads(joiner, order) == f"/instrument/{body.instrument.serial}/"


def test_what_is_unknown_says_what_to_do(shop: make.Shop, body: Part) -> None:
    planner = desk.client(shop, "planner")
    for text in ("nothing like it", "%", "mahogany", "P7777", "x" * 600):
        answer = planner.get("/find/", {"q": text})
        assert answer.status_code == 404
        assert "quality.nothing_called" in words(planner, text)
    assert "type only what of it you are sure of" in words(planner, "mahogany")
    wrong = body.code[:-1] + ("X" if body.code[-1] != "X" else "Y")
    answer = planner.get("/find/", {"q": wrong})
    assert answer.status_code == 404
    assert "Was it one of these?" in main_of(answer)
    assert codes.grouped(body.code) in main_of(answer)
    assert "This is the card" in words(planner, "c000-010e")


@pytest.mark.parametrize("text", ["", " ", "\0"])
def test_nothing_typed_asks_nothing(shop: make.Shop, text: str) -> None:
    answer = desk.client(shop, "planner").get("/find/", {"q": text})
    assert answer.status_code == 200
    assert "What can be found" in main_of(answer)


def test_a_scanners_link_comes_in_behind_its_first_slash(
    shop: make.Shop, body: Part
) -> None:
    """The key / goes to the field; the rest of the link is typed into it."""
    typed = codes.link(body.code).partition("/")[2]
    assert typed.startswith("/HOST/T/")
    assert leads(desk.client(shop, "planner"), typed) == f"/T/{body.code}"


def test_the_field_stands_at_desks_alone(shop: make.Shop) -> None:
    def fields(url: str, who: str = "planner") -> list[str]:
        page = desk.text_of(desk.client(shop, who).get(url))
        found = BeautifulSoup(page, "html.parser").select("[data-shop-find]")
        assert "kit/find" in page or not found
        forms = [one.find_parent("form") for one in found]
        return [str(form["action"]) for form in forms if form]

    for url in ("/", "/orders/", "/find/"):
        assert fields(url) == ["/find/"]
    assert fields("/station/SAW/", "joiner") == []
    assert fields("/sign-in/", "") == []


def test_it_costs_the_same_however_much_there_is(shop: make.Shop) -> None:
    first = shop.instrument()
    planner = desk.client(shop, "planner")
    few = queries_of(planner, f"/find/?q={first.serial[:2]}")
    shop.instruments(3)
    assert queries_of(planner, f"/find/?q={first.serial[:2]}") == few
    with pytest.MonkeyPatch.context() as patch:
        # A sort that nobody asked for is not looked at.
        patch.setattr(
            "travelers.quality.queries.everything.looking.LOOK",
            {Sort.INSTRUMENTS: lambda sought: ()},
        )
        assert search_all(text="x", sorts=[Sort.INSTRUMENTS]).lots == ()


@pytest.mark.parametrize(
    ("table", "column"),
    [
        ("orders_instrument", "serial"),
        ("orders_part", "code"),
        ("lumber_plankset", "code"),
        ("lumber_plankset", "number"),
        ("lumber_piece", "code"),
        ("lumber_plank", "number"),
    ],
)
def test_a_piece_of_a_number_is_looked_for_in_an_index_alone(
    table: str, column: str
) -> None:
    plan = desk.plan_of(
        f"SELECT id FROM {table} WHERE {column} LIKE '%7%' ESCAPE '\\'"
        f" ORDER BY {column}, id LIMIT 13"
    )
    assert "USING COVERING INDEX" in plan
