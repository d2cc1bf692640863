# SPDX-License-Identifier: Apache-2.0
"""Nets, trees, blind legs and rings, on nets drawn at random."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.layout.nets import Net, blind_legs, tree_to
from riser.layout.rings import rings

COUNT = 14
EDGES = st.lists(
    st.tuples(st.integers(0, COUNT - 1), st.integers(0, COUNT - 1)).filter(lambda e: e[0] != e[1]),
    max_size=24,
)


def net_of_pairs(pairs: list[tuple[int, int]], lengths: list[float] | None = None) -> Net:
    """A net of points without a building around them."""
    u = np.array([a for a, _ in pairs], np.int32)
    v = np.array([b for _, b in pairs], np.int32)
    length = np.array(lengths if lengths is not None else [1.0 + 0.01 * n for n in range(len(pairs))])
    edges = SimpleNamespace(length_m=length, kind=np.zeros(len(u), np.int32), ref=np.arange(len(u)))
    nodes = np.zeros(COUNT, np.int32)
    placed = SimpleNamespace(point_node=nodes, point_type=nodes, types=SimpleNamespace(point_group=nodes))
    edges.u, edges.v = u, v
    model: Any = SimpleNamespace(edges=edges, placed=placed)
    return Net(model, np.arange(len(u), dtype=np.int32), u, v)


def graph_of(net: Net) -> Any:
    graph: Any = nx.MultiGraph()
    graph.add_nodes_from(range(COUNT))
    for n, (a, b) in enumerate(zip(net.u.tolist(), net.v.tolist(), strict=True)):
        graph.add_edge(a, b, key=n, weight=float(net.length_m[n]))
    return graph


@settings(max_examples=60)
@given(EDGES)
def test_there_are_as_many_rings_as_pipes_to_take_out(pairs: list[tuple[int, int]]) -> None:
    net = net_of_pairs(pairs)
    graph = graph_of(net)
    found = rings(net)
    assert len(found) == len(pairs) - COUNT + nx.number_connected_components(graph)
    for ring in found:
        around: Any = nx.MultiGraph([(int(net.u[e]), int(net.v[e])) for e in ring.edges])
        assert len(set(ring.edges)) == len(ring.edges)
        assert all(degree == 2 for _, degree in around.degree())
        assert nx.is_connected(around)


@settings(max_examples=60)
@given(EDGES)
def test_the_rings_together_are_all_edges_that_are_no_bridge(pairs: list[tuple[int, int]]) -> None:
    net = net_of_pairs(pairs)
    graph = graph_of(net)
    whole = nx.number_connected_components(graph)
    on_ring = set()
    for n, (a, b) in enumerate(pairs):
        graph.remove_edge(a, b, key=n)
        if nx.number_connected_components(graph) == whole:
            on_ring.add(n)
        graph.add_edge(a, b, key=n)
    assert {e for ring in rings(net) for e in ring.edges} == on_ring


@settings(max_examples=60)
@given(EDGES, st.sets(st.integers(0, COUNT - 1), min_size=1, max_size=3))
def test_a_tree_is_the_shortest_way_home(pairs: list[tuple[int, int]], homes: set[int]) -> None:
    net = net_of_pairs(pairs)
    tree = tree_to(net, np.array(sorted(homes), np.int32))
    expected = nx.multi_source_dijkstra_path_length(graph_of(net), homes)
    for point in range(COUNT):
        assert np.isfinite(tree.distance_m[point]) == (point in expected)
        if point in expected:
            assert tree.distance_m[point] == pytest.approx(expected[point], abs=1e-3)
            way = sum(float(net.length_m[position]) for _, position in tree.path(point))
            assert way == pytest.approx(expected[point], abs=1e-9)
        if tree.via[point] >= 0:
            assert {int(net.u[tree.via[point]]), int(net.v[tree.via[point]])} == {
                point,
                int(tree.towards[point]),
            }


@settings(max_examples=60)
@given(EDGES, st.sets(st.integers(0, COUNT - 1), min_size=1, max_size=3))
def test_marked_points_are_those_on_the_ways_home(pairs: list[tuple[int, int]], homes: set[int]) -> None:
    net = net_of_pairs(pairs)
    tree = tree_to(net, np.array(sorted(homes), np.int32))
    starts = np.array([1, 5, 9], np.int32)
    marked = tree.marked(starts)
    expected = {point for start in (1, 5, 9) for point in (start, *(p for p, _ in tree.path(start)))}
    assert set(np.flatnonzero(marked).tolist()) == expected
    stop = np.zeros(COUNT, bool)
    stop[[2, 9]] = True
    for start, first in zip((1, 5, 9), tree.first_on_the_way(starts, stop).tolist(), strict=True):
        line = [start, *(p for p, _ in tree.path(start))]
        assert first == next((p for p in line if stop[p]), -1)


@settings(max_examples=60)
@given(EDGES, st.sets(st.integers(0, COUNT - 1), max_size=5))
def test_what_is_left_without_blind_legs_has_no_blind_end(
    pairs: list[tuple[int, int]], alive: set[int]
) -> None:
    net = net_of_pairs(pairs)
    lives = np.zeros(COUNT, bool)
    lives[sorted(alive)] = True
    ends = np.flatnonzero(net.degree == 1).astype(np.int32)
    legs, left = blind_legs(net, ends, lives, np.zeros(len(net.edge)))
    assert np.all(left >= 0)
    assert not np.any((left == 1) & ~lives)
    # Each edge is eaten by one leg at most, and what is eaten plus what is left is everything.
    assert legs.length_m.sum() <= net.length_m.sum() + 1e-9
    graph: Any = nx.MultiGraph(graph_of(net))
    while True:
        blind = [p for p, d in graph.degree() if d == 1 and not lives[p]]
        if not blind:
            break
        graph.remove_edges_from(list(graph.edges(blind[0], keys=True)))
    assert [graph.degree(point) for point in range(COUNT)] == left.tolist()


def test_a_leg_is_measured_to_the_pipe_it_leaves_and_the_longer_of_two_goes_on() -> None:
    # 0-1-2 is a living pipe; from 1 a leg leads over 3 to the blind ends 4 (near) and 5 (far).
    pairs = [(0, 1), (1, 2), (1, 3), (3, 4), (3, 5)]
    net = net_of_pairs(pairs, [1.0, 1.0, 2.0, 0.5, 3.0])
    lives = np.zeros(COUNT, bool)
    lives[[0, 2]] = True
    legs, left = blind_legs(net, np.array([4, 5], np.int32), lives, np.array([0.0, 0.0, 2.0, 0.0, 3.0]))
    assert dict(zip(legs.end.tolist(), legs.length_m.tolist(), strict=True)) == {4: 0.5, 5: 5.0}
    assert dict(zip(legs.end.tolist(), legs.foot.tolist(), strict=True)) == {4: 3, 5: 1}
    assert dict(zip(legs.end.tolist(), legs.level_m.tolist(), strict=True)) == {4: 0.0, 5: 5.0}
    assert left[:3].tolist() == [1, 2, 1]


def test_points_within_reach_are_measured_along_the_pipe() -> None:
    net = net_of_pairs([(0, 1), (1, 2), (0, 2), (2, 3)], [1.0, 1.0, 5.0, 1.0])
    assert net.within(0, 2.5) == {0: 0.0, 1: 1.0, 2: 2.0}
    allowed = np.ones(COUNT, bool)
    allowed[2] = False
    assert set(net.reach(0, allowed)) == {0, 1}
