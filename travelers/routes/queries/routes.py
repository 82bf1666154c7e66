"""What does a revision's route say?"""

from collections import defaultdict
from datetime import timedelta
from functools import lru_cache

from travelers.routes.models import (
    Caution,
    Characteristic,
    MaterialNeed,
    Operation,
    Precedence,
    Revision,
)
from travelers.routes.rules import (
    Branch,
    Check,
    CheckKind,
    Hazard,
    Joins,
    Line,
    Need,
    OperationKind,
    Route,
    Traced,
)


@lru_cache(maxsize=64)
def released_route(*, revision_id: int) -> Route:
    """Give the route of a released revision.

    Released revisions never change (triggers see to it), so a process may keep
    them; a draft is read afresh by :func:`read_route`.
    """
    return read_route(revision_id=revision_id)


def read_route(*, revision_id: int) -> Route:
    after: dict[int, list[int]] = defaultdict(list)
    for before_id, after_id in Precedence.objects.filter(
        after__revision_id=revision_id
    ).values_list("before_id", "after_id"):
        after[after_id].append(before_id)
    checks = _checks(revision_id)
    hazards: dict[int, list[Hazard]] = defaultdict(list)
    for caution in Caution.objects.filter(operation__revision_id=revision_id).order_by(
        "operation_id", "sign"
    ):
        hazards[caution.operation_id].append(Hazard(caution.sign, caution.sentence))
    needs = _needs(revision_id)
    return Route.of(
        revision_id,
        [
            _line(row, after[row.pk], checks[row.pk], hazards[row.pk], needs[row.pk])
            for row in Operation.objects.filter(revision_id=revision_id)
        ],
    )


def _checks(revision_id: int) -> dict[int, list[Check]]:
    checks: dict[int, list[Check]] = defaultdict(list)
    for row in Characteristic.objects.filter(
        operation__revision_id=revision_id
    ).order_by("operation_id", "id"):
        checks[row.operation_id].append(check_of(row=row))
    return checks


def _needs(revision_id: int) -> dict[int, list[Need]]:
    needs: dict[int, list[Need]] = defaultdict(list)
    rows = MaterialNeed.objects.filter(operation__revision_id=revision_id)
    for row in rows.select_related("material").order_by("operation_id", "id"):
        own = row.material
        needs[row.operation_id].append(
            Need(row.pk, own.pk, own.name, Traced(own.traced), row.pieces)
        )
    return needs


def check_of(*, row: Characteristic) -> Check:
    """Read a characteristic as the bench needs it."""
    return Check(
        row.pk,
        row.code,
        row.name,
        CheckKind(row.kind),
        row.unit,
        row.nominal,
        row.lower,
        row.upper,
        row.decimals,
        row.places,
        row.place_name,
        row.every_nth,
        row.gauge_kind,
    )


def _line(
    row: Operation,
    after: list[int],
    checks: list[Check],
    hazards: list[Hazard],
    needs: list[Need],
) -> Line:
    return Line(
        id=row.pk,
        branch=Branch(row.branch),
        number=row.number,
        name=row.name,
        kind=OperationKind(row.kind),
        joins=Joins(row.joins),
        planned=timedelta(seconds=row.planned_s),
        shortest_dwell=timedelta(seconds=row.shortest_dwell_s),
        longest_gap=_seconds(row.longest_gap_s),
        times=row.times,
        shortest_between=_seconds(row.shortest_between_s),
        longest_between=_seconds(row.longest_between_s),
        instruction=row.instruction,
        picture=row.picture,
        after=tuple(after),
        checks=tuple(checks),
        hazards=tuple(hazards),
        needs=tuple(needs),
    )


def _seconds(value: int | None) -> timedelta | None:
    return None if value is None else timedelta(seconds=value)


def get_revision(*, revision_id: int) -> Revision:
    return Revision.objects.select_related("model", "released_by").get(pk=revision_id)


def find_released(*, model_id: int) -> Revision | None:
    return Revision.objects.filter(model_id=model_id, state="RELEASED").first()
