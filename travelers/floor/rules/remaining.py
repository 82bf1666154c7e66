"""How long does a part still need behind the step at hand?  By its route alone."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from functools import cache

from travelers.routes.rules import Branch, Line, Route

# Work goes on 40 of the 168 hours of a week (common practice, no source); what dries
# and cures does so day and night.
WEEK_PER_WORK = 168 / 40
NOTHING = timedelta(0)


@dataclass(frozen=True, slots=True)
class Ways:
    """The longest ways through a route, from the start of each line.

    ``to_end`` leads to the end of the instrument; ``to_join`` names for each line
    that joins something the way to its beginning, for the lines that lead there.
    """

    route: Route
    to_end: Mapping[int, timedelta]
    to_join: Mapping[int, Mapping[int, timedelta]]
    followers: Mapping[int, tuple[int, ...]]

    @classmethod
    def of(cls, route: Route) -> "Ways":
        followers: dict[int, tuple[int, ...]] = {}
        for before, after in route.precedences():
            followers[before] = (*followers.get(before, ()), after)
        joins = [line.id for line in route.lines if line.after]
        return cls(
            route,
            _longest(route, followers, None),
            {join: _longest(route, followers, join) for join in joins},
            followers,
        )

    def after(self, operation_id: int, repeat: int) -> timedelta:
        """Say how long an instrument needs once one turn of an operation is done."""
        line = self.route.by_id[operation_id]
        return _turns_after(line, repeat) + self._behind(line, self.to_end)

    def next_join(self, operation_id: int) -> int | None:
        """Find the nearest line behind an operation that waits for another branch."""
        found = {
            join: ways[operation_id]
            for join, ways in self.to_join.items()
            if operation_id in ways and join != operation_id
        }
        return min(found, key=lambda join: (found[join], join), default=None)

    def until(self, join: int, operation_id: int, repeat: int) -> timedelta | None:
        """Say how long it is from the end of a turn to a join; None: not on its way."""
        if operation_id not in self.to_join[join] or operation_id == join:
            return None
        line = self.route.by_id[operation_id]
        return _turns_after(line, repeat) + self._behind(line, self.to_join[join])

    def has_mates(self, join: int, branch: Branch) -> bool:
        """Say whether another branch than this one leads to a join."""
        lines = (self.route.by_id[one] for one in self.to_join[join] if one != join)
        return any(line.branch is not branch for line in lines)

    def _behind(self, line: Line, ways: Mapping[int, timedelta]) -> timedelta:
        then = (ways[one] for one in self.followers.get(line.id, ()) if one in ways)
        return max(then, default=NOTHING)


def once(line: Line) -> timedelta:
    """Say how long one turn of an operation takes by the calendar."""
    return line.planned * WEEK_PER_WORK + line.shortest_dwell


def _turns_after(line: Line, repeat: int) -> timedelta:
    between = line.shortest_between or NOTHING
    return (once(line) + between) * max(0, line.times - repeat)


def _longest(
    route: Route, followers: Mapping[int, Iterable[int]], goal: int | None
) -> dict[int, timedelta]:
    """Give the longest way from the start of each line to the goal, or to the end."""

    @cache
    def way(line_id: int) -> timedelta | None:
        if line_id == goal:
            return NOTHING
        onward = (way(one) for one in followers.get(line_id, ()))
        then = [length for length in onward if length is not None]
        if goal is not None and not then:
            return None
        line = route.by_id[line_id]
        return once(line) + _turns_after(line, 1) + max(then, default=NOTHING)

    found = ((line.id, way(line.id)) for line in route.lines)
    return {line_id: length for line_id, length in found if length is not None}
