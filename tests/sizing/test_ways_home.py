# SPDX-License-Identifier: Apache-2.0
"""The tree of ways home: sums, largest values and distances along it."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from riser.network.systems import FOUL
from riser.network.tracing import drain_ways, outfall_points
from riser.sizing.ways_home import ways_home


@pytest.fixture(scope="module")
def tree(build: SimpleNamespace) -> Any:
    model = build.model_of(build.tower(5, stacks=2))
    return model, ways_home(model, frozenset(FOUL), model.edges_of(frozenset(FOUL)), outfall_points(model))


def test_distances_are_those_of_the_network_tracing(tree: Any) -> None:
    model, way = tree
    traced = drain_ways(model).distance_m
    np.testing.assert_array_equal(np.isfinite(traced), way.has_way)
    np.testing.assert_allclose(way.distance_m[way.has_way], traced[way.has_way], atol=1e-4)


def test_every_point_with_a_way_is_on_one_level_beyond_its_next_point(tree: Any) -> None:
    _, way = tree
    level = {int(p): n for n, points in enumerate(way.levels) for p in points}
    assert set(level) == set(np.flatnonzero(way.has_way).tolist())
    assert all(level[p] == level[int(way.next_point[p])] + 1 for p in level if way.next_point[p] >= 0)


def test_what_is_gathered_is_what_walking_home_from_every_point_adds_up(tree: Any) -> None:
    _, way = tree
    values = np.arange(len(way.edge), dtype=float)
    sums, tops = np.zeros(len(values)), np.full(len(values), -1.0)
    for start in np.flatnonzero(way.has_way).tolist():
        for point in way.onward(start):
            sums[point] += values[start]
            tops[point] = max(tops[point], values[start])
    np.testing.assert_array_equal(way.gathered(values)[way.has_way], sums[way.has_way])
    np.testing.assert_array_equal(way.gathered(values, np.maximum)[way.has_way], tops[way.has_way])


def test_upstream_points_are_those_whose_way_passes_the_point(tree: Any) -> None:
    _, way = tree
    for point in np.flatnonzero(way.has_way)[::7].tolist():
        above = {p for p in np.flatnonzero(way.has_way).tolist() if point in way.onward(p)}
        assert set(np.flatnonzero(way.upstream(point)).tolist()) == above


def test_the_distance_to_a_stop_ends_there(tree: Any) -> None:
    _, way = tree
    stops = np.isin(np.arange(len(way.edge)), way.levels[1])
    distance = way.distance_to(stops)
    assert np.all(distance[stops] == 0.0)
    beyond = way.levels[3]
    stop = way.next_point[way.next_point[beyond]]
    np.testing.assert_allclose(distance[beyond], way.distance_m[beyond] - way.distance_m[stop])


def test_a_pump_is_passed_forwards_only(build: SimpleNamespace) -> None:
    lines = "OF outfall 3 0 0\nSU sump 0 0 -2\nT bend 0 0 1\nW fx:lav 1 0 -1"
    drawn = "L soil W.waste SU.in P2\nU soil SU.out T P2\nD soil T OF P2"
    model = build.model_of(build.one_part(lines, drawn))
    way = ways_home(model, frozenset(FOUL), model.edges_of(frozenset(FOUL)), outfall_points(model))
    sump = int(model.placed.node_numbers(["P/SU"])[0])
    inlet, outlet = (int(model.placed.point0[sump]) + n for n in (0, 1))
    assert way.distance_m[inlet] == 0.0
    assert way.distance_m[outlet] == pytest.approx(3.0 + np.hypot(3, 1))
