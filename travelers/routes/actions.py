"""How does a route become law?"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import QuerySet

from travelers.kit.refusals import Refused
from travelers.routes import queries, rules
from travelers.routes.models import (
    Caution,
    Characteristic,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
)
from travelers.routes.rules import RevisionState
from travelers.shop.models import Person

# What hangs on an operation and is copied and thrown away with it.
OF_AN_OPERATION = (Characteristic, Caution, MaterialNeed)


@transaction.atomic
def release_revision(*, revision_id: int, by: Person, at: datetime) -> Revision:
    """Release a draft; the revision released before is retired.

    Instruments on the floor stay on the revision they were released with.
    """
    revision = (
        Revision.objects.select_for_update(of=("self",))
        .select_related("model")
        .get(pk=revision_id)
    )
    name = f"{revision.model.name} {revision.number}"
    if revision.state != RevisionState.DRAFT:
        raise Refused(rules.NOT_A_DRAFT.about(revision=name))
    if fault := rules.unsound(queries.read_route(revision_id=revision_id), name):
        raise Refused(fault)
    Revision.objects.filter(
        model_id=revision.model_id, state=RevisionState.RELEASED
    ).update(state=RevisionState.RETIRED, retired_at=at)
    revision.state = RevisionState.RELEASED
    revision.released_at = at
    revision.released_by = by
    revision.save(update_fields=["state", "released_at", "released_by"])
    return revision


@transaction.atomic
def draft_revision(*, revision_id: int) -> Revision:
    """Copy a revision as a new draft, to be changed until it is released.

    1. Lock the model's revisions; one draft of a model at a time.
    2. Copy the operations, then what hangs on them.
    """
    old = Revision.objects.select_related("model").get(pk=revision_id)
    rows = list(
        Revision.objects.select_for_update()
        .filter(model_id=old.model_id)
        .order_by("id")
    )
    for row in rows:
        if row.state == RevisionState.DRAFT:
            raise Refused(
                rules.DRAFT_OPEN.about(model=old.model.name, revision=row.number)
            )
    number = rules.next_number(row.number for row in rows)
    draft = Revision.objects.create(model_id=old.model_id, number=number)
    copies = _copy_operations(old, draft)
    for model in OF_AN_OPERATION:
        rows_of = model.objects.filter(operation__revision=old).order_by("id")
        _copy(rows_of, operation_id=copies)
    _copy(
        Precedence.objects.filter(after__revision=old).order_by("id"),
        before_id=copies,
        after_id=copies,
    )
    return draft


@transaction.atomic
def drop_draft(*, revision_id: int) -> None:
    """Throw a draft away with all its operations; what was released stays."""
    draft = Revision.objects.select_for_update(of=("self",)).select_related("model")
    revision = draft.get(pk=revision_id)
    if revision.state != RevisionState.DRAFT:
        name = f"{revision.model.name} {revision.number}"
        raise Refused(rules.NOT_A_DRAFT.about(revision=name))
    for model in OF_AN_OPERATION:
        model.objects.filter(operation__revision=revision).delete()
    Precedence.objects.filter(after__revision=revision).delete()
    Operation.objects.filter(revision=revision).delete()
    revision.delete()


def _copy_operations(old: Revision, draft: Revision) -> dict[int, int]:
    """Copy the lines of a route and say which became which."""
    rows = list(Operation.objects.filter(revision=old).order_by("id"))
    before = [row.pk for row in rows]
    for row in rows:
        row.pk, row.revision_id = None, draft.pk
    made = Operation.objects.bulk_create(rows)
    return dict(zip(before, (row.pk for row in made), strict=True))


def _copy(rows: QuerySet[Any], **keys: Mapping[int, int]) -> None:
    """Copy rows whose named keys point to a copied operation."""
    copies = list(rows)
    for row in copies:
        row.pk = None
        for key, became in keys.items():
            setattr(row, key, became[getattr(row, key)])
    rows.model._default_manager.bulk_create(copies)
