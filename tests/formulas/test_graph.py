"""Do order, longest path and reach agree with an independent library?"""

import math
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from travelers.formulas.graph import LongestPath, Ring, longest_path, order, reach

Edges = list[tuple[int, int]]
NODE = st.integers(0, 11)
ANY_EDGES = st.lists(st.tuples(NODE, NODE), max_size=40)
# Nodes are shuffled afterwards, so that their numbers do not give the order away.
DAG_EDGES = st.tuples(
    st.lists(st.tuples(NODE, NODE).filter(lambda e: e[0] < e[1]), max_size=40),
    st.permutations(range(12)),
).map(lambda drawn: [(drawn[1][a], drawn[1][b]) for a, b in drawn[0]])


# A textbook network first. Durations and answer are common practice, no source: two
# branches that meet, reckoned by hand.
def test_the_slower_branch_decides() -> None:
    days = {"body": 5, "spray": 3, "neck": 4, "frets": 6, "join": 1, "play": 2}
    ways = [
        ("body", "spray"),
        ("spray", "join"),
        ("neck", "frets"),
        ("frets", "join"),
        ("join", "play"),
    ]
    assert longest_path(days, ways) == (13, ("neck", "frets", "join", "play"))


@given(DAG_EDGES)
def test_an_order_holds_every_node_once_and_every_edge(edges: Edges) -> None:
    found = order(range(12), edges)
    place = {node: index for index, node in enumerate(found)}
    assert sorted(found) == list(range(12))
    assert all(place[before] < place[after] for before, after in edges)


@given(ANY_EDGES)
def test_a_ring_is_found_just_when_there_is_one_and_it_is_named(edges: Edges) -> None:
    graph = nx.DiGraph(edges)
    if nx.is_directed_acyclic_graph(graph):
        assert set(order(range(12), edges)) == set(range(12))
        return
    with pytest.raises(Ring) as caught:
        order(range(12), edges)
    ring = caught.value.nodes
    assert ring[0] == ring[-1]
    assert len(ring) > 1
    assert set(pairwise(ring)) <= set(edges)


@given(DAG_EDGES, st.lists(st.integers(0, 1000), min_size=12, max_size=12))
def test_the_longest_path_is_as_long_as_networkx_says(
    edges: Edges, times: list[int]
) -> None:
    durations = dict(enumerate(times))
    graph: nx.DiGraph[object] = nx.DiGraph()
    # Times stand on the edges there: each node gives its own to the edges out of it.
    graph.add_weighted_edges_from((n, "end", durations[n]) for n in durations)
    graph.add_weighted_edges_from((a, b, durations[a]) for a, b in edges)
    length, path = longest_path(durations, edges)
    assert length == nx.dag_longest_path_length(graph)
    assert length == sum(durations[node] for node in path)
    assert set(pairwise(path)) <= set(edges)


@given(ANY_EDGES, NODE)
def test_reach_is_what_networkx_calls_descendants(edges: Edges, start: int) -> None:
    graph = nx.DiGraph(edges)
    graph.add_nodes_from(range(12))
    assert reach(edges, start) == nx.descendants(graph, start)


@given(ANY_EDGES, NODE, NODE)
def test_reach_turned_round_finds_the_ancestors(edges: Edges, a: int, b: int) -> None:
    turned = [(after, before) for before, after in edges]
    assert (b in reach(edges, a)) == (a in reach(turned, b))


@given(DAG_EDGES, st.lists(st.integers(0, 1000), min_size=12, max_size=12))
def test_more_time_on_one_step_never_makes_the_whole_shorter(
    edges: Edges, times: list[int]
) -> None:
    durations = dict(enumerate(times))
    longer = durations | {0: durations[0] + 10}
    before = longest_path(durations, edges).length
    after = longest_path(longer, edges).length
    assert before <= after <= before + 10


# Edges of the matter.


def test_nothing_has_an_empty_order_and_no_length() -> None:
    assert order([], []) == ()
    assert longest_path({}, []) == LongestPath(0, ())
    assert reach([], "body") == frozenset()


def test_twenty_thousand_steps_in_a_row_need_no_recursion() -> None:
    count = 20_000
    chain = [(n, n + 1) for n in range(count - 1)]
    assert order(range(count), chain) == tuple(range(count))
    assert longest_path(dict.fromkeys(range(count), 1), chain).length == count
    assert len(reach(chain, 0)) == count - 1
    with pytest.raises(Ring):
        order(range(count), [*chain, (count - 1, 0)])


def test_a_ring_is_named_in_the_message_and_a_long_one_is_cut() -> None:
    with pytest.raises(ValueError, match="ring, got glue -> clamp -> glue"):
        order(["glue", "clamp"], [("glue", "clamp"), ("clamp", "glue")])
    with pytest.raises(ValueError, match="ring, got sand -> sand"):
        order(["sand"], [("sand", "sand")])
    with pytest.raises(Ring) as caught:
        order(range(1000), [(n, (n + 1) % 1000) for n in range(1000)])
    assert len(str(caught.value)) < 100
    assert len(caught.value.nodes) == 1001


def test_a_longest_path_through_a_ring_is_refused() -> None:
    with pytest.raises(Ring):
        longest_path({"a": 1, "b": 1}, [("a", "b"), ("b", "a")])


def test_the_start_is_not_reached_even_in_a_ring() -> None:
    assert reach([("a", "b"), ("b", "a"), ("a", "a")], "a") == {"b"}


def test_an_edge_to_an_unknown_node_is_refused() -> None:
    with pytest.raises(ValueError, match="edges must join given nodes, got a -> z"):
        order(["a"], [("a", "z")])
    with pytest.raises(ValueError, match="edges must join given nodes, got z -> a"):
        longest_path({"a": 1}, [("z", "a")])


@pytest.mark.parametrize("time", [-1, math.nan, math.inf])
def test_a_duration_that_cannot_be_is_refused_with_its_step(time: float) -> None:
    with pytest.raises(ValueError, match=f"durations .* got {time} for glue"):
        longest_path({"glue": time}, [])


def test_the_same_edge_twice_counts_once() -> None:
    assert longest_path({"a": 2, "b": 3}, [("a", "b")] * 2) == (5, ("a", "b"))


def test_a_closing_step_without_time_is_on_the_path() -> None:
    days = {"spray": 3, "done": 0}
    assert longest_path(days, [("spray", "done")]).path == ("spray", "done")


def test_precedences_may_come_from_a_stream() -> None:
    assert longest_path({"a": 1, "b": 1}, iter([("a", "b")])).length == 2
