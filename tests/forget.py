"""What does a process keep that a test must not find?"""

from travelers.floor.queries.urgency import ways_of
from travelers.routes.queries import released_route


def routes() -> None:
    """Forget the routes: in an emptied database their numbers begin anew."""
    released_route.cache_clear()
    ways_of.cache_clear()
