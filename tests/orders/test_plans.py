"""Is a plank planned for what is wanted, sawn so once, and printed for the saw?"""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client

from tests import make
from tests.desk import client, queries_of, text_of
from travelers.formulas.cutting import stages
from travelers.kit.refusals import Refused
from travelers.lumber.actions import Batch, Cut, Sawn, accept_delivery, cut_batches
from travelers.lumber.models import Plank, PlankSet, Species, Supplier
from travelers.lumber.rules import Purpose
from travelers.orders.actions import allot
from travelers.orders.queries import lacking
from travelers.routes.models import WoodNeed

pytestmark = pytest.mark.django_db

BOARD = Sawn(Decimal(4000), Decimal(260), Decimal(60), 40_000)


def new_plank(number: str = "D900") -> str:
    accept_delivery(
        number=number,
        supplier_id=Supplier.objects.get().pk,
        species_id=Species.objects.get(code="ASH").pk,
        received_on=date(2026, 1, 5),
        planks=[BOARD],
    )
    return f"{number}-01"


@pytest.fixture
def planner(shop: make.Shop) -> Client:
    return client(shop, "planner")


@pytest.fixture
def needs(shop: make.Shop) -> dict[str, WoodNeed]:
    return {need.branch: need for need in WoodNeed.objects.all()}


@pytest.fixture
def asked(needs: dict[str, WoodNeed]) -> dict[str, str]:
    return {
        f"n-{needs['BODY'].pk}": "2",
        f"n-{needs['NECK'].pk}": "1",
        "fill": str(needs["NECK"].pk),
        "length_mm": "4000",
        "width_mm": "260",
        "kerf_mm": "3",
        "edge_trim_mm": "5",
        "end_trim_mm": "25",
    }


def url(number: str) -> str:
    return f"/lumber/plank/{number}/plan/"


def test_a_plan_begins_with_the_plank_and_what_orders_lack(
    shop: make.Shop, planner: Client, needs: dict[str, WoodNeed]
) -> None:
    shop.order(3)
    number = new_plank()
    answer = planner.get(url(number))
    form = answer.context["form"]
    assert form["length_mm"].value() == "4000"
    assert form["width_mm"].value() == "260"
    assert not form.is_bound
    assert answer.context["plan"] is None
    assert {(need.branch, lacks) for need, _field, lacks in answer.context["rows"]} == {
        ("BODY", 3),
        ("NECK", 3),
    }
    assert "Cut by plan" in text_of(planner.get(f"/lumber/plank/{number}/"))


def test_what_orders_lack_is_what_is_not_allotted(shop: make.Shop) -> None:
    order = shop.order(3)
    model = order.revision.model_id
    assert dict(lacking()) == {(model, "BODY"): 3, (model, "NECK"): 3}
    allot(order_id=order.pk, plank_set_id=shop.plank_set().pk)
    assert dict(lacking()) == {(model, "BODY"): 2, (model, "NECK"): 3}
    for _ in range(2):
        allot(order_id=order.pk, plank_set_id=shop.plank_set().pk)
    assert dict(lacking()) == {(model, "NECK"): 3}


def test_the_plan_is_drawn_and_named_as_the_tags_will_be(
    planner: Client, asked: dict[str, str]
) -> None:
    number = new_plank()
    answer = planner.get(url(number), asked)
    plan = answer.context["plan"]
    body, neck, more = plan.rows
    assert body.sets == ("B1", "B2")
    assert neck.sets == ("N3",)
    assert more.sets[0] == "N4"
    assert (body.missing, neck.missing, more.missing) == (0, 0, 0)
    said = text_of(answer)
    for section in plan.sections:
        for piece in section.pieces:
            assert f">{piece.name}</text>" in said
    first = plan.sections[0]
    assert first.from_mm == 0
    assert plan.sections[1].from_mm == first.to_mm + 3


def test_sawn_so_it_is_written_down_once(
    planner: Client, asked: dict[str, str]
) -> None:
    number = new_plank()
    plan = planner.get(url(number), asked).context["plan"]
    sends = asked | {"seen": "0"}
    answer = planner.post(url(number), sends, follow=True)
    assert f"{plan.sets} sets are cut." in text_of(answer)
    named = {f"{number}-{name}" for row in plan.rows for name in row.sets}
    made = PlankSet.objects.filter(plank__number=number)
    assert set(made.values_list("number", flat=True)) == named
    assert [one.purpose for one in made.order_by("id")[:3]] == ["BODY", "BODY", "NECK"]
    pieces = {
        f"{one.number.removeprefix(number + '-')} {piece.letter}"
        for one in made
        for piece in one.pieces.all()
    }
    laid = {piece.name for section in plan.sections for piece in section.pieces}
    assert pieces == laid
    # Sent again, by a double click: the plan no longer holds.
    again = planner.post(url(number), sends)
    assert again.status_code == 409
    assert f"Plank {number} was cut since this plan was drawn." in text_of(again)
    assert PlankSet.objects.filter(plank__number=number).count() == plan.sets


def test_a_plan_that_says_not_what_it_saw_is_not_sawn(planner: Client, asked) -> None:
    number = new_plank()
    for seen in ({}, {"seen": ""}, {"seen": "x"}):
        assert planner.post(url(number), asked | seen).status_code == 422
    assert planner.post(url(number), asked | {"seen": "5"}).status_code == 409
    assert not PlankSet.objects.filter(plank__number=number).exists()


def test_too_wide_a_question_is_said_with_what_to_ask_instead(
    planner: Client, asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stages, "MOST_WAYS", 1)
    answer = planner.get(url(new_plank()), asked)
    assert answer.status_code == 422
    assert "Ask for fewer kinds or fewer sets of this plank." in text_of(answer)


def test_of_a_cut_plank_the_rest_is_asked(
    planner: Client, asked: dict[str, str], needs: dict[str, WoodNeed]
) -> None:
    number = new_plank()
    planner.post(url(number), asked | {"seen": "0"})
    answer = planner.get(url(number))
    form = answer.context["form"]
    assert form["length_mm"].value() is None
    assert "Measure what is left and type it." in text_of(answer)
    # More than is left by volume is refused, whatever length is typed.
    most = asked | {f"n-{needs['BODY'].pk}": "20"}
    had = PlankSet.objects.count()
    answer = planner.post(url(number), most | {"seen": str(had)})
    assert answer.status_code == 422
    assert "are more wood than plank" in text_of(answer)
    assert PlankSet.objects.count() == had


def test_batches_are_cut_all_or_none(shop: make.Shop) -> None:
    number = new_plank()
    plank = Plank.objects.get(number=number)
    body = Cut(2, Decimal(500), Decimal(200), Decimal(50))
    neck = Cut(1, Decimal(700), Decimal(100), Decimal(30))
    with pytest.raises(Refused) as no:
        cut_batches(
            plank_id=plank.pk,
            batches=[Batch(Purpose.BODY, body, 2), Batch(Purpose.NECK, neck, 30)],
            cut_on=date(2026, 1, 7),
        )
    assert no.value.refusal.code == "lumber.does_not_fit"
    assert not plank.sets.exists()


@pytest.mark.parametrize(
    ("typed", "field", "said"),
    [
        ({"length_mm": "4001"}, "length_mm", "The plank is only 4000 mm."),
        ({"width_mm": "26,5 cm"}, "width_mm", "This is asked in mm"),
        ({"width_mm": ""}, "width_mm", "This field is required."),
        ({"kerf_mm": "-1"}, "kerf_mm", "more than 0"),
        ({"kerf_mm": "30"}, "kerf_mm", "at most 20"),
        ({"edge_trim_mm": "thin"}, "edge_trim_mm", "Type a number alone"),
        ({"fill": "99999"}, "fill", "Select a valid choice"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(
    planner: Client, asked: dict[str, str], typed, field, said
) -> None:
    number = new_plank()
    answer = planner.get(url(number), asked | typed)
    assert answer.status_code == 422
    assert set(answer.context["form"].errors) == {field}
    assert said in text_of(answer)
    assert "Saw it so" not in text_of(answer)


def test_nothing_wanted_is_said(planner: Client, asked, needs) -> None:
    nothing = {f"n-{need.pk}": "" for need in needs.values()} | {"fill": ""}
    answer = planner.get(url(new_plank()), asked | nothing)
    assert answer.status_code == 422
    assert "how many sets of at least one kind" in text_of(answer)


def test_trims_and_kerf_may_be_nought(planner: Client, asked) -> None:
    none = {"kerf_mm": "0", "edge_trim_mm": "0", "end_trim_mm": "0"}
    answer = planner.get(url(new_plank()), asked | none)
    assert answer.status_code == 200
    assert answer.context["plan"].sections[0].from_mm == 0


def test_where_no_set_fits_there_is_nothing_to_saw(planner: Client, asked) -> None:
    number = new_plank()
    narrow = asked | {"width_mm": "40"}
    answer = planner.get(url(number), narrow)
    assert answer.status_code == 200
    assert "No whole set fits" in text_of(answer)
    assert "Saw it so" not in text_of(answer)
    assert planner.post(url(number), narrow | {"seen": "0"}).status_code == 422
    assert not PlankSet.objects.filter(plank__number=number).exists()


def test_who_keeps_no_wood_only_looks(shop: make.Shop, asked: dict[str, str]) -> None:
    number = new_plank()
    joiner = client(shop, "joiner")
    answer = joiner.get(url(number), asked)
    assert answer.status_code == 200
    assert "Saw it so" not in text_of(answer)
    assert joiner.post(url(number), asked | {"seen": "0"}).status_code == 403


def test_a_plan_asks_no_more_for_a_wide_plank(planner: Client, asked) -> None:
    number = new_plank()
    few = {key: "1" for key in asked if key.startswith("n-")} | {"fill": ""}
    queries = [
        queries_of(planner, f"{url(number)}?{_query(asked | more)}")
        for more in (few, {})
    ]
    assert queries[0] == queries[1]


def _query(given: dict[str, str]) -> str:
    return "&".join(f"{key}={value}" for key, value in given.items())
