"""What does a revision's route say, and which models are there?"""

from travelers.routes.queries.models import (
    ROUTE_KEEPERS,
    Buildable,
    InForce,
    ModelList,
    buildable,
    in_force,
    model_list,
    ways,
)
from travelers.routes.queries.revisions import RevisionPage, revision_page
from travelers.routes.queries.routes import (
    check_of,
    find_released,
    get_revision,
    read_route,
    released_route,
)

__all__ = [
    "ROUTE_KEEPERS",
    "Buildable",
    "InForce",
    "ModelList",
    "RevisionPage",
    "buildable",
    "check_of",
    "find_released",
    "get_revision",
    "in_force",
    "model_list",
    "read_route",
    "released_route",
    "revision_page",
    "ways",
]
