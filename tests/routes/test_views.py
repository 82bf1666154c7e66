"""Can a route be read, and do only route engineers change it?"""

from collections.abc import Iterator

import pytest
from django.urls import reverse

from tests import make
from tests.desk import client, page_of, queries_of, text_of
from travelers.routes import queries
from travelers.routes.actions import draft_revision
from travelers.routes.models import Operation, Precedence, Revision

pytestmark = [pytest.mark.django_db, pytest.mark.once]


@pytest.fixture(autouse=True)
def _no_route_is_remembered() -> Iterator[None]:
    queries.released_route.cache_clear()
    yield
    queries.released_route.cache_clear()


def address(name: str, number: str = "A") -> str:
    return reverse(f"routes:{name}", args=["WREN", number])


@pytest.mark.twice
def test_the_models_are_listed_with_wood_finishes_and_revisions(
    shop: make.Shop,
) -> None:
    draft_revision(revision_id=shop.revision.pk)
    answer = client(shop, "joiner").get(reverse("routes:models"))
    (model,) = page_of(answer).models
    assert [row.number for row in model.revisions] == ["B", "A"]
    assert [need.branch for need in model.needs] == ["BODY", "NECK"]
    assert "Tide Green" in text_of(answer)


def test_a_revision_is_read_branch_by_branch(shop: make.Shop) -> None:
    answer = client(shop, "joiner").get(address("revision"))
    page = page_of(answer)
    read = [
        (rows.branch, [row.line.number for row in rows.operations])
        for rows in page.branches
    ]
    assert read == [
        ("BODY", [10, 20, 30, 40, 50, 60, 70]),
        ("NECK", [10, 20]),
        ("ELECTRONICS", [10]),
        ("ASSEMBLY", [10, 20, 30]),
    ]
    joint = page.branches[3].operations[0]
    assert joint.after == ("body 70 Inspect body", "neck 20 Fret")
    assert joint.place == "Bench"
    text = text_of(answer)
    assert "56.05 – 56.20 mm" in text
    assert "at most 7.2 %" in text
    assert "The blade turns on." in text


@pytest.mark.twice
def test_what_takes_longest_comes_first(shop: make.Shop) -> None:
    page = page_of(client(shop, "engineer").get(address("revision")))
    assert [name for name, _ in page.slowest][:2] == ["Cure", "Dry"]
    assert page.longest[-1] == "Test play"
    marked = [
        row.line.name
        for rows in page.branches
        for row in rows.operations
        if row.on_longest
    ]
    assert marked == list(page.longest)


def test_a_revision_that_is_not_there_says_so(shop: make.Shop) -> None:
    answer = client(shop, "engineer").get(address("revision", "Z"))
    assert answer.status_code == 404
    assert "kit.not_found" in text_of(answer)


def test_the_engineer_copies_and_releases(shop: make.Shop) -> None:
    engineer = client(shop, "engineer")
    answer = engineer.post(address("draft"), follow=True)
    assert page_of(answer).number == "B"
    assert page_of(answer).may_release
    answer = engineer.post(address("release", "B"), follow=True)
    assert page_of(answer).state == "RELEASED"
    assert not page_of(answer).may_release
    assert "Revision B is released" in text_of(answer)


@pytest.mark.twice
def test_the_engineer_throws_a_draft_away(shop: make.Shop) -> None:
    draft_revision(revision_id=shop.revision.pk)
    answer = client(shop, "engineer").post(address("drop", "B"))
    assert answer.url == reverse("routes:models")
    assert list(Revision.objects.values_list("number", flat=True)) == ["A"]


@pytest.mark.parametrize("who", ["planner", "lead", "qa", "joiner"])
@pytest.mark.parametrize("name", ["release", "draft", "drop"])
@pytest.mark.twice
def test_nobody_else_changes_a_route(shop: make.Shop, who: str, name: str) -> None:
    draft_revision(revision_id=shop.revision.pk)
    answer = client(shop, who).post(address(name, "B"))
    assert answer.status_code == 403
    assert Revision.objects.get(number="B").state == "DRAFT"
    shown = page_of(client(shop, who).get(address("revision", "B")))
    assert not shown.may_release
    assert not shown.may_draft


def test_the_button_and_the_verb_refuse_the_same(shop: make.Shop) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    Precedence.objects.create(
        before=draft.operations.get(branch="ASSEMBLY", number=30),
        after=draft.operations.get(branch="NECK", number=10),
    )
    engineer = client(shop, "engineer")
    page = page_of(engineer.get(address("revision", "B")))
    assert page.unsound.code == "routes.route_turns_back"
    assert page.shortest is None
    answer = engineer.post(address("release", "B"))
    assert answer.status_code == 422
    assert page.unsound.words["round"] in text_of(answer).replace("&gt;", ">")


def test_an_operation_says_what_it_uses() -> None:
    shop = make.shop(uses=True)
    text = text_of(client(shop, "joiner").get(address("revision", "A")))
    assert "Uses: Hide glue (its batch)" in text
    assert "Uses: 2 × Pickup (their serial numbers)" in text


def test_a_longer_route_asks_no_more_of_the_database(shop: make.Shop) -> None:
    engineer = client(shop, "engineer")
    draft_revision(revision_id=shop.revision.pk)
    few = queries_of(engineer, address("revision", "B"))
    draft = Revision.objects.get(number="B")
    saw = draft.operations.get(branch="BODY", number=10)
    Operation.objects.bulk_create(
        Operation(
            revision=draft,
            branch="NECK",
            number=100 + n,
            name=f"More {n}",
            stage=saw.stage,
            kind="WORK",
            planned_s=60,
        )
        for n in range(50)
    )
    assert queries_of(engineer, address("revision", "B")) == few
