"""In what order steps can be done, which way is longest, what came of what."""

import math
from collections.abc import Hashable, Iterable, Mapping
from graphlib import CycleError, TopologicalSorter
from typing import Generic, NamedTuple, TypeVar

Node = TypeVar("Node", bound=Hashable)

_SHOWN = 8
"""How many nodes of a ring a message names."""


class Ring(ValueError):
    """The edges run in a ring, so that nothing in it can come first.

    Attributes
    ----------
    nodes : tuple
        The ring, each node before the next; the first stands again at the end.
    """

    def __init__(self, nodes: tuple[Hashable, ...]) -> None:
        shown = [str(node) for node in nodes[:_SHOWN]]
        if len(nodes) > _SHOWN:
            shown += ["…", str(nodes[-1])]
        super().__init__(f"edges must not run in a ring, got {' -> '.join(shown)}")
        self.nodes = nodes


class LongestPath(NamedTuple, Generic[Node]):
    """The longest way through a graph: its length, and the nodes along it."""

    length: float
    path: tuple[Node, ...]


def order(
    nodes: Iterable[Node], edges: Iterable[tuple[Node, Node]]
) -> tuple[Node, ...]:
    """Put the nodes in an order in which nothing comes before what it waits for.

    Parameters
    ----------
    nodes : iterable
        All nodes, each once or more often.
    edges : iterable of pairs
        ``(before, after)``; the same pair may stand twice.

    Returns
    -------
    tuple
        Every node once. The same input gives the same order.

    Raises
    ------
    ValueError
        If an edge names a node that is not among the nodes; `Ring`, naming one ring,
        if the edges run in a ring.

    References
    ----------
    A. B. Kahn (1962), "Topological sorting of large networks", Communications of the
    ACM 5(11):558-562 (from memory); done by `graphlib` of the standard library.

    Examples
    --------
    >>> order(["glue", "plane", "cut"], [("cut", "plane"), ("plane", "glue")])
    ('cut', 'plane', 'glue')
    >>> order("ab", [("a", "b"), ("b", "a")])
    Traceback (most recent call last):
        ...
    travelers.formulas.graph.Ring: edges must not run in a ring, got a -> b -> a
    """
    known = dict.fromkeys(nodes, ())
    sorter: TopologicalSorter[Node] = TopologicalSorter(known)
    for before, after in edges:
        if before not in known or after not in known:
            raise ValueError(f"edges must join given nodes, got {before} -> {after}")
        sorter.add(after, before)
    try:
        return tuple(sorter.static_order())
    except CycleError as error:
        raise Ring(tuple(error.args[1])) from None


def longest_path(
    durations: Mapping[Node, float], precedences: Iterable[tuple[Node, Node]]
) -> LongestPath[Node]:
    """Find the chain of steps that takes longest: nothing is done sooner than it.

    Parameters
    ----------
    durations : mapping
        How long each node takes, zero or more, all in one unit.
    precedences : iterable of pairs
        ``(before, after)``.

    Returns
    -------
    LongestPath
        The pair ``(length, path)``: the sum of the durations along the path, in their
        unit, and its nodes from first to last. ``(0, ())`` if there are no nodes. Of
        equal paths always the same one for the same input.

    Raises
    ------
    ValueError
        If a duration is negative or not finite, a pair names an unknown node, or the
        pairs run in a ring.

    References
    ----------
    J. E. Kelley, M. R. Walker (1959), "Critical-path planning and scheduling",
    Proceedings of the Eastern Joint Computer Conference, 160-173 (from memory).

    Examples
    --------
    >>> days = {"body": 5, "neck": 8, "join": 1, "lacquer": 20}
    >>> ways = [("body", "join"), ("neck", "join"), ("join", "lacquer")]
    >>> longest_path(days, ways)
    LongestPath(length=29, path=('neck', 'join', 'lacquer'))
    """
    for node, duration in durations.items():
        if not (math.isfinite(duration) and duration >= 0):
            raise ValueError(
                f"durations must be finite and 0 or more, got {duration} for {node}"
            )
    before: dict[Node, list[Node]] = {node: [] for node in durations}
    pairs = tuple(precedences)
    in_order = order(durations, pairs)
    for first, second in pairs:
        before[second].append(first)

    ends: dict[Node, float] = {}
    came_from: dict[Node, Node] = {}
    for node in in_order:
        ends[node] = durations[node]
        if before[node]:
            came_from[node] = max(before[node], key=ends.__getitem__)
            ends[node] += ends[came_from[node]]
    return _walk_back(ends, came_from)


def reach(edges: Iterable[tuple[Node, Node]], start: Node) -> frozenset[Node]:
    """Find everything that can be reached from a node.

    Parameters
    ----------
    edges : iterable of pairs
        ``(from, to)``. Rings are allowed.
    start : hashable
        Where to begin; it need not stand in any edge.

    Returns
    -------
    frozenset
        All nodes that a way leads to from the start, without the start itself. With
        the pairs turned round, all that the start came from.

    References
    ----------
    R. Tarjan (1972), "Depth-first search and linear graph algorithms", SIAM Journal on
    Computing 1(2):146-160 (from memory).

    Examples
    --------
    >>> came_into = [("plank", "left half"), ("left half", "body"), ("cap", "body")]
    >>> sorted(reach(came_into, "plank"))
    ['body', 'left half']
    """
    after: dict[Node, list[Node]] = {}
    for source, target in edges:
        after.setdefault(source, []).append(target)
    seen = {start}
    waiting = [start]
    while waiting:
        for target in after.get(waiting.pop(), ()):
            if target not in seen:
                seen.add(target)
                waiting.append(target)
    return frozenset(seen - {start})


def _walk_back(
    ends: Mapping[Node, float], came_from: Mapping[Node, Node]
) -> LongestPath[Node]:
    """Follow the latest end back to its start; `ends` stands in topological order."""
    if not ends:
        return LongestPath(0, ())
    # Of equal ends the last, so that a closing step that takes no time is on the path.
    path = [max(reversed(tuple(ends)), key=ends.__getitem__)]
    length = ends[path[0]]
    while path[-1] in came_from:
        path.append(came_from[path[-1]])
    return LongestPath(length, tuple(reversed(path)))
