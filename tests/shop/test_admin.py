"""Do only admins come in by the back door, and is what is of record safe there?"""

from typing import Any

import pytest
from django.apps import apps
from django.contrib.admin import site
from django.db.models import Model
from django.test import Client
from django.urls import reverse

from tests import make
from tests.cast import PASSWORD
from tests.desk import client, text_of
from tests.standing import kept
from travelers.floor.models import (
    Batch,
    BatchAtStation,
    BatchHold,
    Event,
    Hold,
    MaterialUse,
    Reading,
)
from travelers.formulas import codes
from travelers.kit.backdoor import BackDoor
from travelers.orders.models import Allotment, Instrument, Part, Step, WorkOrder
from travelers.paper.models import Sheet
from travelers.quality.models import Defect, Disposition
from travelers.routes.actions import draft_revision
from travelers.routes.models import (
    Caution,
    Characteristic,
    Material,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
)
from travelers.shop.models import Badge, Counter, Cutter, Person, Stage, Station

pytestmark = pytest.mark.django_db

OF_RECORD = [
    Event, Reading, Hold, Sheet, Defect, Disposition, Step, Part, Instrument,
    Allotment, Counter, Badge, MaterialUse, Batch, BatchHold, BatchAtStation, Cutter,
]  # fmt: skip

OF_AN_OPERATION = (Characteristic, Caution, MaterialNeed, Precedence)


@pytest.fixture
def admin(shop: make.Shop) -> Client:
    return client(shop, "admin")


def address(row: Model, deed: str = "change") -> str:
    meta = row._meta
    return reverse(f"admin:{meta.app_label}_{meta.model_name}_{deed}", args=[row.pk])


def add(model: type[Model]) -> str:
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_add")


def test_all_tables_of_the_shop_are_there() -> None:
    ours = {model for model in site._registry if "travelers." in model.__module__}
    hung = {
        "Finish", "WoodNeed", "Precedence", "Characteristic", "Caution", "DefectBranch",
        "MaterialNeed",
        "Session", "Load", "Stay", "Latecomer", "Invitation", "PinTry",
        "DayCount", "Counted",
    }  # fmt: skip
    known = {m for m in apps.get_models() if m.__module__.startswith("travelers.")}
    assert {model.__name__ for model in known - ours} == hung
    assert isinstance(site._wrapped, BackDoor)  # type: ignore[attr-defined]


@pytest.mark.parametrize("model", OF_RECORD, ids=lambda model: model.__name__)
def test_what_is_of_record_is_only_looked_at(
    shop: make.Shop, admin: Client, model: type[Model]
) -> None:
    keeper = site._registry[model]
    request = admin.get("/admin/").wsgi_request
    assert keeper.has_view_permission(request)
    assert not keeper.has_add_permission(request)
    assert not keeper.has_change_permission(request)
    assert not keeper.has_delete_permission(request)
    assert keeper.get_actions(request) == {}
    assert admin.get(add(model)).status_code == 403


def test_a_ledger_row_is_neither_changed_nor_deleted(
    shop: make.Shop, admin: Client
) -> None:
    body = shop.part(shop.instrument())
    shop.work(body, until="Dry")
    event = Event.objects.order_by("seq")[0]
    before = Event.objects.values().get(pk=event.pk)
    assert admin.get(address(event)).status_code == 200
    assert admin.post(address(event), {"kind": "SCRAP"}).status_code == 403
    assert admin.post(address(event, "delete"), {"post": "yes"}).status_code == 403
    assert Event.objects.values().get(pk=event.pk) == before


@pytest.mark.parametrize(
    "who", ["joiner", "lead", "planner", "qa", "engineer", "outsider"]
)
def test_nobody_else_comes_in(shop: make.Shop, who: str) -> None:
    opened = client(shop, who)
    assert opened.get("/admin/").status_code == 403
    assert "kit.not_your_role" in text_of(opened.get("/admin/"))
    assert opened.get(address(shop.cast.admin)).status_code == 403
    Person.objects.filter(username=who).update(is_staff=True)
    assert client(shop, who).get("/admin/").status_code == 403


def test_a_stranger_signs_in_where_everybody_does(shop: make.Shop) -> None:
    opened = Client()
    assert opened.get("/admin/").url == "/admin/login/?next=/admin/"
    answer = opened.get("/admin/", follow=True)
    assert answer.redirect_chain[-1][0] == "/sign-in/?next=/admin/"
    typed = {"username": "admin", "password": PASSWORD, "next": "/admin/"}
    assert opened.post("/sign-in/", typed, follow=True).status_code == 200


def test_an_admin_by_role_alone_comes_in(shop: make.Shop) -> None:
    Person.objects.filter(username="admin").update(is_staff=False, is_superuser=False)
    opened = client(shop, "admin")
    assert opened.get(add(Stage)).status_code == 200
    assert opened.get(address(shop.cast.planner)).status_code == 200


def test_a_superuser_without_a_role_comes_to_take_one(shop: make.Shop) -> None:
    first = Person.objects.create_superuser("first", password=PASSWORD)
    opened = Client()
    opened.force_login(first)
    assert opened.get("/").status_code == 403
    assert opened.get(address(first)).status_code == 200


def test_whoever_left_has_no_key(shop: make.Shop) -> None:
    admin = shop.cast.admin
    assert admin.has_perm("shop.change_person")
    assert admin.has_module_perms("shop")
    admin.is_active = False
    assert not admin.has_perm("shop.change_person")
    assert not admin.has_module_perms("shop")


def person(**other: str) -> dict[str, str]:
    return {
        "username": "anna",
        "usable_password": "true",
        "password1": "sand-and-lacquer",
        "password2": "sand-and-lacquer",
        "first_name": "Anna",
        "last_name": "Birch",
        "initials": "",
    } | other


def test_people_are_added_with_roles_and_without_initials(admin: Client) -> None:
    admin.post(add(Person), person(is_operator="on"))
    admin.post(add(Person), person(username="bo", is_admin="on"))
    anna, bo = (Person.objects.get(username=name) for name in ("anna", "bo"))
    assert anna.roles == ("operator",)
    assert (anna.initials, bo.initials) == (None, None)
    assert (anna.is_staff, anna.is_superuser) == (False, False)
    assert (bo.is_staff, bo.is_superuser) == (True, True)
    assert anna.check_password("sand-and-lacquer")


def test_who_is_no_admin_any_more_loses_the_key(shop: make.Shop, admin: Client) -> None:
    bo = Person.objects.create_superuser("bo", password=PASSWORD, is_admin=True)
    admin.post(address(bo), {"username": "bo", "is_active": "on", "is_lead": "on"})
    bo.refresh_from_db()
    assert (bo.roles, bo.is_staff, bo.is_superuser) == (("lead",), False, False)


def test_a_new_station_gets_its_tag_once(shop: make.Shop, admin: Client) -> None:
    typed = {
        "code": "OILING",
        "name": "Oiling bench",
        "stage": str(Stage.objects.get(code="FINISHING").pk),
        "attended": "on",
        "places": "2",
        "shift": str(shop.cast.stations["SAW"].shift_id),
    }
    admin.post(add(Station), typed)
    made = Station.objects.get(code="OILING")
    assert made.tag.startswith("H")
    assert codes.is_right(made.tag)
    admin.post(address(made), typed | {"name": "Oil", "tag": "H0000000"})
    again = Station.objects.get(code="OILING")
    assert (again.name, again.tag) == ("Oil", made.tag)


def test_a_slip_in_an_order_is_put_right_but_not_what_it_is(
    shop: make.Shop, admin: Client
) -> None:
    order = shop.order(3)
    typed = {
        "due_on": "2026-10-01", "priority": "2", "note": "soon", "quantity": "9",
        "number": "X9",
    }  # fmt: skip
    admin.post(address(order), typed)
    order.refresh_from_db()
    assert (order.due_on.isoformat(), order.priority) == ("2026-10-01", 2)
    assert (order.quantity, order.number) == (3, "W001")
    assert admin.get(address(order, "delete")).status_code == 403
    assert admin.get(add(WorkOrder)).status_code == 403


def test_a_station_that_is_in_use_is_not_deleted(
    shop: make.Shop, admin: Client
) -> None:
    shop.instrument()
    saw = shop.cast.stations["SAW"]
    answer = admin.post(address(saw, "delete"), {"post": "yes"})
    assert "Cannot delete station" in text_of(answer)
    assert Station.objects.filter(pk=saw.pk).exists()


def rows_of(operation: Operation, **other: Any) -> dict[str, Any]:
    """Send an operation's form as the page has it, with nothing hung on it changed."""
    management = {
        f"{prefix}-{name}": "0"
        for prefix in ("characteristics", "cautions", "needs", "waits_for")
        for name in ("TOTAL_FORMS", "INITIAL_FORMS", "MIN_NUM_FORMS", "MAX_NUM_FORMS")
    }
    return (
        management
        | {
            "revision": operation.revision_id,
            "branch": operation.branch,
            "number": operation.number,
            "name": operation.name,
            "stage": operation.stage_id,
            "station": operation.station_id,
            "kind": operation.kind,
            "joins": operation.joins,
            "planned_s": operation.planned_s,
            "shortest_dwell_s": operation.shortest_dwell_s,
            "times": operation.times,
            "instruction": operation.instruction,
            "picture": operation.picture,
        }
        | other
    )


def test_a_released_revision_is_only_looked_at(shop: make.Shop, admin: Client) -> None:
    operation = shop.revision.operations.get(branch="BODY", number=10)
    for row in (shop.revision, operation):
        answer = admin.get(address(row))
        assert answer.status_code == 200
        assert 'name="_save"' not in text_of(answer)
        assert admin.get(address(row, "delete")).status_code == 403
    sent = rows_of(operation, planned_s="1")
    assert admin.post(address(operation), sent).status_code == 403
    sent = {"model": shop.model.pk, "number": "Z"}
    assert admin.post(address(shop.revision), sent).status_code == 403
    operation.refresh_from_db()
    assert operation.planned_s == 600


def test_what_hangs_on_a_released_operation_is_only_looked_at(
    shop: make.Shop, admin: Client
) -> None:
    operation = shop.revision.operations.get(branch="BODY", number=10)
    text = text_of(admin.get(address(operation)))
    assert "The blade turns on." in text
    assert 'name="cautions-0-sentence"' not in text
    keeper = site._registry[Operation]
    request = admin.get("/admin/").wsgi_request
    for inline in keeper.get_inline_instances(request, operation):
        assert inline.model in OF_AN_OPERATION
        assert not inline.has_add_permission(request, operation)
        assert not inline.has_change_permission(request, operation)
        assert not inline.has_delete_permission(request, operation)


def test_a_material_is_changed_until_a_released_revision_names_it(
    shop: make.Shop, admin: Client
) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    make.use_materials(draft)
    glue = Material.objects.get(code="GLUE")
    sent = {"code": "GLUE", "name": "Bone glue", "traced": "BATCH"}
    assert admin.post(address(glue), sent).status_code == 302
    glue.refresh_from_db()
    assert glue.name == "Bone glue"
    Revision.objects.filter(state="RELEASED").update(
        state="RETIRED", retired_at=shop.now
    )
    Revision.objects.filter(pk=draft.pk).update(
        state="RELEASED", released_at=shop.now, released_by=shop.cast.engineer
    )
    assert admin.post(address(glue), {**sent, "name": "Wax"}).status_code == 403
    assert admin.post(address(glue, "delete"), {"post": "yes"}).status_code == 403
    glue.refresh_from_db()
    assert glue.name == "Bone glue"


def test_a_draft_is_changed(shop: make.Shop, admin: Client) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    operation = draft.operations.get(branch="ELECTRONICS", number=10)
    caution = {
        "cautions-TOTAL_FORMS": "1",
        "cautions-0-sign": "W017",
        "cautions-0-sentence": "The iron is hot.",
    }
    sent = rows_of(operation, planned_s="900", **caution)
    answer = admin.post(address(operation), sent)
    assert answer.status_code == 302, text_of(answer)
    operation.refresh_from_db()
    assert operation.planned_s == 900
    assert operation.cautions.get().sentence == "The iron is hot."


def test_no_operation_is_added_to_a_released_revision(
    shop: make.Shop, admin: Client
) -> None:
    operation = shop.revision.operations.get(branch="ELECTRONICS", number=10)
    answer = admin.post(add(Operation), rows_of(operation, number="11"))
    assert answer.status_code == 200
    assert "Select a valid choice" in text_of(answer)
    assert not Operation.objects.filter(number=11).exists()


def test_an_operation_waits_for_its_own_revision_only(
    shop: make.Shop, admin: Client
) -> None:
    draft = draft_revision(revision_id=shop.revision.pk)
    operation = draft.operations.get(branch="ELECTRONICS", number=10)
    stranger = shop.revision.operations.get(branch="NECK", number=10)
    own = draft.operations.get(branch="NECK", number=10)
    for before, taken in ((stranger, False), (own, True)):
        wait = {"waits_for-TOTAL_FORMS": "1", "waits_for-0-before": before.pk}
        answer = admin.post(address(operation), rows_of(operation, **wait))
        assert (answer.status_code == 302) is taken
    assert [row.before for row in operation.waits_for.all()] == [own]


def test_a_draft_is_begun_empty(shop: make.Shop, admin: Client) -> None:
    admin.post(add(Revision), {"model": shop.model.pk, "number": "C"})
    made = Revision.objects.get(number="C")
    assert (made.state, made.released_at) == ("DRAFT", None)


@kept
def busy(shop: make.Shop) -> None:
    """Let a body be worked on, and more be released."""
    shop.work(shop.part(shop.instrument()), until="Machine")
    shop.instruments(3)


@pytest.mark.once
@pytest.mark.usefixtures("busy")
@pytest.mark.parametrize("model", site._registry, ids=lambda model: model.__name__)
def test_every_list_is_read_with_few_queries(
    admin: Client,
    model: type[Model],
    django_assert_max_num_queries: Any,
) -> None:
    meta = model._meta
    url = reverse(f"admin:{meta.app_label}_{meta.model_name}_changelist")
    with django_assert_max_num_queries(14):
        assert admin.get(url).status_code == 200
