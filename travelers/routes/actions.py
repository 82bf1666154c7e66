"""How does a route become law?"""

from datetime import datetime

from django.db import transaction

from travelers.kit.refusals import Refused
from travelers.routes import queries, rules
from travelers.routes.models import Revision
from travelers.routes.rules import Branch, Joins, RevisionState, Route
from travelers.shop.models import Person


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
    _refuse_unsound(queries.read_route(revision_id=revision_id), name)
    Revision.objects.filter(
        model_id=revision.model_id, state=RevisionState.RELEASED
    ).update(state=RevisionState.RETIRED, retired_at=at)
    revision.state = RevisionState.RELEASED
    revision.released_at = at
    revision.released_by = by
    revision.save(update_fields=["state", "released_at", "released_by"])
    return revision


def _refuse_unsound(route: Route, name: str) -> None:
    """Refuse a route that could never be worked through."""
    present = {line.branch for line in route.lines}
    for branch in Branch:
        if branch not in present:
            raise Refused(
                rules.BRANCH_MISSING.about(revision=name, branch_word=str(branch))
            )
    for line in route.lines:
        if line.joins is Joins.BRANCHES and not line.after:
            raise Refused(rules.JOIN_WITHOUT_MATES.about(operation=line.name))
    try:
        route.shortest_lead()
    except ValueError as turn:
        raise Refused(
            rules.ROUTE_TURNS_BACK.about(revision=name, round=str(turn))
        ) from turn
