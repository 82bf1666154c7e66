"""Which models are built here, of what, and by which revisions?"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Count

from travelers.kit.people import has_one_of
from travelers.routes.models import (
    Finish,
    InstrumentModel,
    Operation,
    Revision,
    WoodNeed,
)
from travelers.routes.rules import Branch, RevisionState
from travelers.shop.models import Person
from travelers.shop.rules import Role

ROUTE_KEEPERS = (Role.ROUTE_ENGINEER,)


@dataclass(frozen=True, slots=True)
class Buildable:
    """A model with a released route, and the finishes it is offered in."""

    id: int
    name: str
    finishes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RevisionRow:
    number: str
    state: RevisionState
    operations: int
    released_at: datetime | None
    released_by: str


@dataclass(frozen=True, slots=True)
class NeedRow:
    branch: Branch
    pieces: int
    length_mm: Decimal
    width_mm: Decimal
    thickness_mm: Decimal


@dataclass(frozen=True, slots=True)
class ModelRow:
    code: str
    name: str
    shape: str
    serial_prefix: str
    scale_mm: Decimal
    strings: int
    frets: int
    finishes: tuple[str, ...]
    needs: tuple[NeedRow, ...]
    revisions: tuple[RevisionRow, ...]


@dataclass(frozen=True, slots=True)
class ModelList:
    models: tuple[ModelRow, ...]
    may_write: bool


@dataclass(frozen=True, slots=True)
class InForce:
    """A revision that is built by, or is being drafted."""

    model: str
    code: str
    number: str
    state: RevisionState


def model_list(*, by: Person) -> ModelList:
    """List the models by name, each with its revisions, the latest first."""
    finishes, needs, revisions = _finishes(), _needs(), _revisions()
    return ModelList(
        tuple(
            ModelRow(
                model.code,
                model.name,
                model.shape,
                model.serial_prefix,
                model.scale_mm,
                model.strings,
                model.frets,
                tuple(finishes[model.pk]),
                tuple(needs[model.pk]),
                tuple(revisions[model.pk]),
            )
            for model in InstrumentModel.objects.order_by("name", "id")
        ),
        may_write(by=by),
    )


def buildable() -> tuple[Buildable, ...]:
    """List the models that an order can name, with their finishes."""
    finishes = _finishes()
    released = InstrumentModel.objects.filter(revisions__state=RevisionState.RELEASED)
    return tuple(
        Buildable(model.pk, model.name, tuple(finishes[model.pk]))
        for model in released.order_by("name", "id")
    )


def in_force() -> tuple[InForce, ...]:
    """List the drafts, then the revisions that are built by."""
    rows = Revision.objects.exclude(state=RevisionState.RETIRED)
    return tuple(
        InForce(row.model.name, row.model.code, row.number, RevisionState(row.state))
        for row in rows.select_related("model").order_by("state", "model__name", "id")
    )


def ways() -> frozenset[tuple[Branch, str]]:
    """Say which branches pass which stages, by the code, on the released routes."""
    passed = (
        Operation.objects.filter(revision__state=RevisionState.RELEASED)
        .order_by("branch", "stage__code")
        .values_list("branch", "stage__code")
        .distinct()
    )
    return frozenset((Branch(branch), stage) for branch, stage in passed)


def may_write(*, by: Person) -> bool:
    return has_one_of(by, ROUTE_KEEPERS)


def _finishes() -> dict[int, list[str]]:
    finishes: dict[int, list[str]] = defaultdict(list)
    rows = Finish.objects.order_by("name", "id").values_list("model_id", "name")
    for model_id, name in rows:
        finishes[model_id].append(name)
    return finishes


def _needs() -> dict[int, list[NeedRow]]:
    needs: dict[int, list[NeedRow]] = defaultdict(list)
    for row in WoodNeed.objects.order_by("branch", "id"):
        needs[row.model_id].append(
            NeedRow(
                Branch(row.branch),
                row.pieces,
                row.length_mm,
                row.width_mm,
                row.thickness_mm,
            )
        )
    return needs


def _revisions() -> dict[int, list[RevisionRow]]:
    revisions: dict[int, list[RevisionRow]] = defaultdict(list)
    rows: Any = (
        Revision.objects.select_related("released_by")
        .annotate(operations_n=Count("operations"))
        .order_by("-id")
    )
    for row in rows:
        revisions[row.model_id].append(
            RevisionRow(
                row.number,
                RevisionState(row.state),
                row.operations_n,
                row.released_at,
                str(row.released_by or ""),
            )
        )
    return revisions
