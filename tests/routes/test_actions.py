"""Does a route become law whole, and is a draft a copy of its own?"""

from collections.abc import Iterator

import pytest

from tests import make
from travelers.kit.refusals import Refused
from travelers.routes import queries, rules
from travelers.routes.actions import draft_revision, drop_draft, release_revision
from travelers.routes.models import (
    Caution,
    Characteristic,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
)
from travelers.routes.rules import Route

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _no_route_is_remembered() -> Iterator[None]:
    """Forget released routes: a test's rows are rolled back, and numbers come again."""
    queries.released_route.cache_clear()
    yield
    queries.released_route.cache_clear()


def refused(code: str, call, **given) -> None:
    with pytest.raises(Refused) as no:
        call(**given)
    assert no.value.refusal.code == code


def release(shop: make.Shop, revision: Revision) -> Revision:
    return release_revision(revision_id=revision.pk, by=shop.cast.engineer, at=shop.now)


def test_a_released_revision_retires_the_one_before(shop: make.Shop) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    release(shop, draft)
    states = dict(Revision.objects.values_list("number", "state"))
    assert states == {"A": "RETIRED", "B": "RELEASED"}
    refused("routes.not_a_draft", release, shop=shop, revision=shop.revision)


def test_instruments_stay_on_the_revision_they_were_released_with(
    shop: make.Shop,
) -> None:
    before = shop.instrument()
    release(shop, draft_revision(revision_id=shop.revision.pk))
    after = shop.instrument()
    before.refresh_from_db()
    assert (before.revision.number, after.revision.number) == ("A", "B")


def told(route: Route) -> list[tuple]:
    """Say what a route says, with no number of a row in it."""
    return [
        (
            line.branch,
            line.number,
            line.name,
            line.kind,
            line.planned,
            line.times,
            sorted(
                (route.by_id[one].branch, route.by_id[one].number) for one in line.after
            ),
            [(check.code, check.lower, check.upper) for check in line.checks],
            line.hazards,
            [(need.material, need.traced, need.pieces) for need in line.needs],
        )
        for line in route.lines
    ]


def test_a_draft_says_the_same_with_rows_of_its_own() -> None:
    shop = make.shop(uses=True)
    draft = draft_revision(revision_id=shop.revision.pk)
    assert draft.number == "B"
    old = queries.read_route(revision_id=shop.revision.pk)
    new = queries.read_route(revision_id=draft.pk)
    assert told(new) == told(old)
    assert not set(new.by_id) & set(old.by_id)


def test_a_model_has_one_draft_at_a_time(shop: make.Shop) -> None:
    draft_revision(revision_id=shop.revision.pk)
    refused("routes.draft_open", draft_revision, revision_id=shop.revision.pk)
    assert Revision.objects.count() == 2


def test_a_dropped_draft_leaves_nothing_behind() -> None:
    shop = make.shop(uses=True)
    before = counts()
    draft = draft_revision(revision_id=shop.revision.pk)
    assert counts() == {name: 2 * n for name, n in before.items()}
    drop_draft(revision_id=draft.pk)
    assert counts() == before
    refused("routes.not_a_draft", drop_draft, revision_id=shop.revision.pk)
    assert counts() == before


def counts() -> dict[str, int]:
    tables = (
        Revision, Operation, Characteristic, Caution, MaterialNeed, Precedence
    )  # fmt: skip
    return {model.__name__: model.objects.count() for model in tables}


@pytest.mark.parametrize(
    ("code", "spoil"),
    [
        (
            "routes.branch_missing",
            lambda draft: [
                Precedence.objects.filter(before__branch="ELECTRONICS").filter(
                    after__revision=draft
                ),
                draft.operations.filter(branch="ELECTRONICS"),
            ],
        ),
        (
            "routes.join_without_mates",
            lambda draft: [
                Precedence.objects.filter(after__revision=draft, after__number=20)
            ],
        ),
    ],
)
def test_a_route_that_lacks_something_is_not_released(
    shop: make.Shop, code: str, spoil
) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    for rows in spoil(draft):
        rows.delete()
    refused(code, release, shop=shop, revision=draft)
    shop.revision.refresh_from_db()
    assert shop.revision.state == "RELEASED"


def test_a_route_that_turns_back_names_its_round(shop: make.Shop) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    Precedence.objects.create(
        before=draft.operations.get(branch="ASSEMBLY", number=30),
        after=draft.operations.get(branch="NECK", number=10),
    )
    with pytest.raises(Refused) as no:
        release(shop, draft)
    assert no.value.refusal.code == "routes.route_turns_back"
    named = no.value.refusal.words["round"].split(" → ")
    assert named[0] == named[-1]
    assert {"Rough", "Neck joint", "Test play"} <= set(named)


def test_a_route_that_waits_for_another_revision_is_not_released(
    shop: make.Shop,
) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    Precedence.objects.create(
        before=shop.revision.operations.get(branch="BODY", number=70),
        after=draft.operations.get(branch="NECK", number=20),
    )
    refused("routes.waits_for_stranger", release, shop=shop, revision=draft)


def test_an_operation_that_only_lies_uses_nothing(shop: make.Shop) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    make.use_materials(draft)
    needs = MaterialNeed.objects.filter(operation__revision=draft)
    needs.filter(material__code="LACQUER").update(
        operation=draft.operations.get(branch="BODY", number=60)
    )
    refused("routes.uses_while_it_lies", release, shop=shop, revision=draft)


# Worked by hand from the small route: saw 10 min, dry 10 d, glue 10 min and 3 h in
# the clamps, machine 10 min, three coats of 10 min 4 h apart, cure 20 d, inspect
# 10 min; then the three steps of assembly, 10 min each.
def test_the_shortest_lead_time_is_that_of_the_longest_path(shop: make.Shop) -> None:
    route = queries.read_route(revision_id=shop.revision.pk)
    length, path = route.longest_path()
    minutes = 10 * 24 * 60 + 20 * 24 * 60 + 3 * 60 + 2 * 4 * 60 + 10 * 10
    assert length.total_seconds() == minutes * 60
    branches = [route.by_id[line_id].branch for line_id in path]
    assert branches == ["BODY"] * 7 + ["ASSEMBLY"] * 3


@pytest.mark.parametrize(
    ("taken", "number"),
    [
        ((), "A"),
        (("A", "C"), "B"),
        (tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ"), "A2"),
        ((*"ABCDEFGHIJKLMNOPQRSTUVWXYZ", "A2"), "B2"),
    ],
)
def test_which_number_the_next_revision_gets(
    taken: tuple[str, ...], number: str
) -> None:
    assert rules.next_number(taken) == number
