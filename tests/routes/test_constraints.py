"""Do the routes' tables refuse what cannot be, and what was released to change?"""

from collections.abc import Callable
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction

from tests import make
from tests.constraints import change, copy, names_of, refuses
from travelers.routes.models import (
    Caution,
    Characteristic,
    DefectBranch,
    DefectKind,
    Finish,
    Material,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
    WoodNeed,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(shop: make.Shop) -> Revision:
    draft = make.draft(shop.model, shop.cast, "B")
    make.use_materials(draft)
    return draft


def line(draft: Revision, branch: str = "BODY", number: int = 10) -> Operation:
    return draft.operations.get(branch=branch, number=number)


def check(draft: Revision, code: str) -> Characteristic:
    return Characteristic.objects.get(operation__revision=draft, code=code)


BREAKS = {
    "model_has_scale_strings_frets": lambda draft, shop: [
        change(shop.model, **{column: 0}) for column in ("scale_mm", "strings", "frets")
    ],
    "model_body_is_something": lambda draft, shop: [
        change(shop.model, **{column: 0})
        for column in ("body_volume_cm3", "heaviest_body_g")
    ],
    "finish_once_a_model": lambda draft, shop: [copy(Finish.objects.get())],
    "wood_need_once_a_branch": lambda draft, shop: [
        copy(WoodNeed.objects.get(branch="BODY"))
    ],
    "wood_need_has_pieces": lambda draft, shop: [
        change(WoodNeed.objects.get(branch="BODY"), **columns)
        for columns in ({"pieces": 0}, {"length_mm": 0}, {"branch": "ELECTRONICS"})
    ],
    "revision_number_once_a_model": lambda draft, shop: [change(draft, number="A")],
    "revision_released_once_a_model": lambda draft, shop: [
        change(
            draft,
            state="RELEASED",
            released_at=shop.now,
            released_by=shop.cast.engineer,
        )
    ],
    "revision_who_and_when_fit_state": lambda draft, shop: [
        change(draft, **columns)
        for columns in (
            {"released_at": shop.now},
            {"state": "RETIRED"},
            {"state": "RELEASED", "released_at": shop.now},
            {"state": "GONE"},
        )
    ],
    "operation_number_once_a_branch": lambda draft, shop: [
        change(line(draft, number=20), number=10)
    ],
    "operation_branch_and_kind_known": lambda draft, shop: [
        change(line(draft), branch="CASE"),
        change(line(draft), kind="PLAY"),
    ],
    "operation_join_says_what": lambda draft, shop: [
        change(line(draft, number=30), joins="NOTHING"),
        change(line(draft), joins="PIECES"),
    ],
    "operation_hold_has_a_dwell": lambda draft, shop: [
        change(line(draft, number=20), shortest_dwell_s=0)
    ],
    "operation_gaps_between_only_when_repeated": lambda draft, shop: [
        change(line(draft), shortest_between_s=60),
        change(line(draft), times=0),
    ],
    "operation_shortest_between_below_longest": lambda draft, shop: [
        change(line(draft, number=50), shortest_between_s=60, longest_between_s=59)
    ],
    "precedence_once": lambda draft, shop: [
        copy(Precedence.objects.filter(after__revision=draft).first())
    ],
    "precedence_not_of_itself": lambda draft, shop: [
        change(
            Precedence.objects.filter(after__revision=draft).first(),
            before=line(draft),
            after=line(draft),
        )
    ],
    "characteristic_once_an_operation": lambda draft, shop: [
        copy(check(draft, "POCKET"))
    ],
    "characteristic_limits_in_order": lambda draft, shop: [
        change(check(draft, "POCKET"), **columns)
        for columns in (
            {"lower": Decimal("56.20"), "upper": Decimal("56.20"), "nominal": None},
            {"nominal": Decimal("56.04")},
            {"nominal": Decimal("56.21")},
        )
    ],
    "characteristic_measured_has_unit_and_limit": lambda draft, shop: [
        change(check(draft, "POCKET"), unit=""),
        change(check(draft, "POCKET"), lower=None, upper=None),
        change(check(draft, "SHINE"), upper=Decimal(1)),
    ],
    "characteristic_has_a_place": lambda draft, shop: [
        change(check(draft, "POCKET"), places=0),
        change(check(draft, "POCKET"), every_nth=0),
    ],
    "caution_sign_once_an_operation": lambda draft, shop: [
        copy(Caution.objects.get(operation__revision=draft))
    ],
    "caution_sign_is_an_iso_7010_code": lambda draft, shop: [
        change(Caution.objects.get(operation__revision=draft), sign=sign)
        for sign in ("X001", "W1", "w024")
    ],
    "material_traced_known": lambda draft, shop: [
        change(Material.objects.get(code="GLUE"), traced=traced)
        for traced in ("", "WORD")
    ],
    "material_code_goes_into_an_address": lambda draft, shop: [
        change(Material.objects.get(code="GLUE"), code=code)
        for code in ("", "G", "A B", "a/b")
    ],
    "need_once_an_operation": lambda draft, shop: [
        copy(MaterialNeed.objects.get(material__code="GLUE"))
    ],
    "need_has_pieces": lambda draft, shop: [
        change(MaterialNeed.objects.get(material__code="PICKUP"), pieces=pieces)
        for pieces in (0, 13)
    ],
    "defect_kind_usual_known": lambda draft, shop: [
        change(DefectKind.objects.get(code="RUN"), usual="HIDE")
    ],
    "defect_branch_once_a_kind": lambda draft, shop: [
        copy(DefectBranch.objects.get(kind__code="RUN"))
    ],
}


def test_every_constraint_is_tried() -> None:
    assert set(BREAKS) == names_of("routes")


@pytest.mark.each
@pytest.mark.parametrize("name", BREAKS)
def test_a_row_that_cannot_be_is_refused(
    shop: make.Shop, draft: Revision, name: str
) -> None:
    for write in BREAKS[name](draft, shop):
        refuses(name, write)


def stopped(write: Callable[[], object]) -> None:
    with (
        pytest.raises(IntegrityError, match="A released revision never changes"),
        transaction.atomic(),
    ):
        write()


def raw(sql: str, *values: object) -> Callable[[], object]:
    def write() -> None:
        with connection.cursor() as cursor:
            cursor.execute(sql, values)

    return write


def test_a_released_revision_changes_by_no_path(
    shop: make.Shop, draft: Revision
) -> None:
    released = shop.revision
    operation = released.operations.get(branch="BODY", number=10)
    caution = Caution.objects.get(operation=operation)
    checked = Characteristic.objects.filter(operation__revision=released).first()
    precedence = Precedence.objects.filter(after__revision=released).first()
    assert checked
    assert precedence
    for write in (
        change(released, number="Z"),
        change(released, state="DRAFT", released_at=None, released_by=None),
        change(operation, planned_s=1),
        change(caution, sentence="No danger."),
        change(checked, upper=Decimal(99)),
        change(precedence, before=released.operations.get(branch="NECK", number=10)),
        caution.delete,
        checked.delete,
        precedence.delete,
        copy(caution, sign="W012"),
        copy(operation, number=11),
        change(line(draft), revision=released, number=11),
        raw("UPDATE routes_operation SET name = 'x' WHERE id = %s", operation.pk),
        raw("DELETE FROM routes_caution WHERE id = %s", caution.pk),
        raw("DELETE FROM routes_revision WHERE id = %s", released.pk),
    ):
        stopped(write)


def test_a_draft_changes_freely(draft: Revision) -> None:
    change(line(draft), planned_s=1)()
    Caution.objects.get(operation__revision=draft).delete()
    assert line(draft).planned_s == 1
    assert not Caution.objects.filter(operation__revision=draft).exists()
