# SPDX-License-Identifier: Apache-2.0
"""Ways home as a tree: what gathers on the way from fixtures to the outfall, or from drains to open air.

Every point has at most one pipe that leads home, so a point stands for the pipe that leaves it. A joint that
cannot be made as drawn counts as made here: sizes are those of the building as meant, and the joint itself is
a finding of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import EdgeKind, Model
from riser.network.systems import System
from riser.network.tracing import DETOUR_M, LEAST_LENGTH_M, detours
from riser.network.types import Flags, Floats, Ints

Values = NDArray[Any]


@dataclass(frozen=True)
class WaysHome:
    """For every point the next one, the edge between them (a number in `Model.edges`; -1 where there is none,
    or where a joint counts as made), its length [m] and the distance home [m] (infinite where there is none).
    """

    next_point: Ints
    edge: Ints
    step_m: Floats
    distance_m: Floats
    edge_count: int

    @cached_property
    def levels(self) -> tuple[Ints, ...]:
        """The points with a way, grouped by the number of steps from home; the first group is at home."""
        steps = self._steps()
        order = np.argsort(steps, kind="stable")
        order = order[steps[order] >= 0].astype(np.int32)
        cuts = np.flatnonzero(np.diff(steps[order])) + 1
        return tuple(np.split(order, cuts)) if len(order) else ()

    def _steps(self) -> Ints:
        """Steps from home; -1 where there is no way. Counted by doubling, for ways are long."""
        count = len(self.next_point)
        jump = np.append(np.where(self.next_point >= 0, self.next_point, count), count)
        steps = np.append((self.next_point >= 0).astype(np.int32), 0)
        while np.any(jump < count):
            steps = steps + steps[jump]
            jump = jump[jump]
        return np.where(np.isfinite(self.distance_m), steps[:-1], -1)

    @cached_property
    def leaving(self) -> Ints:
        """For each edge of the model the point whose way home begins with it; -1 where no way uses it."""
        points = np.full(self.edge_count, -1, np.int32)
        used = np.flatnonzero(self.edge >= 0)
        points[self.edge[used]] = used
        return points

    @property
    def has_way(self) -> Flags:
        """Whether each point has a way home."""
        return np.isfinite(self.distance_m)

    def gathered(self, values: Values, join: np.ufunc = np.add) -> Values:
        """What each pipe carries of the values that enter at points: their sum, or their `join`."""
        carried = values.copy()
        for points in reversed(self.levels[1:]):
            join.at(carried, self.next_point[points], carried[points])
        return carried

    def entering(self, carried: Values, join: np.ufunc = np.add, nothing: float = 0.0) -> Values:
        """What flows into each point through the pipes that end there."""
        inflow = np.full_like(carried, nothing)
        onward = np.flatnonzero(self.next_point >= 0)
        join.at(inflow, self.next_point[onward], carried[onward])
        return inflow

    def handed_out(self, values: Values, keeps: Flags) -> Values:
        """Values spread away from home: a point takes its next point's, save where it `keeps` its own."""
        held = values.copy()
        for points in self.levels[1:]:
            follows = points[~keeps[points]]
            held[follows] = held[self.next_point[follows]]
        return held

    def distance_to(self, stops: Flags) -> Floats:
        """The distance along the way home to the first of these points, or home [m]."""
        distance = np.where(self.has_way, 0.0, np.inf)
        for points in self.levels[1:]:
            going = points[~stops[points]]
            distance[going] = self.step_m[going] + distance[self.next_point[going]]
        return distance

    def upstream(self, point: int) -> Flags:
        """The points whose way home passes this point, itself included."""
        flags = np.zeros(len(self.next_point), bool)
        flags[point] = True
        return self.handed_out(flags, flags)

    def onward(self, point: int) -> Iterator[int]:
        """The points on the way home, this one first."""
        here = point
        while here >= 0:
            yield here
            here = int(self.next_point[here])


def ways_home(model: Model, systems: frozenset[System], chosen: Ints, homes: Ints) -> WaysHome:
    """The shortest ways along the chosen edges, with broken joints of these systems counted as made.

    A pump, trap or check valve is passed in its own direction only.
    """
    edges, count = model.edges, len(model.placed.point_node)
    detour_u, detour_v, _ = detours(model, systems)
    u, v = np.concatenate([edges.u[chosen], detour_u]), np.concatenate([edges.v[chosen], detour_v])
    number = np.concatenate([chosen, np.full(len(detour_u), -1, np.int32)]).astype(np.int32)
    cost = np.concatenate([edges.length_m[chosen], np.full(len(detour_u), DETOUR_M)]) + LEAST_LENGTH_M
    # The search runs from home outwards, so an arc that may be passed from u to v is walked from v to u.
    back = ~np.concatenate([_one_way(model, chosen), np.zeros(len(detour_u), bool)])
    arcs = _shortest_arcs(
        np.concatenate([u[back], v, np.full(len(homes), count)]),
        np.concatenate([v[back], u, homes]),
        np.concatenate([cost[back], cost, np.full(len(homes), LEAST_LENGTH_M)]),
        np.concatenate([number[back], number, np.full(len(homes), -1, np.int32)]),
    )
    start, end, weight, edge_of = arcs
    graph = csr_array((weight, (start, end)), shape=(count + 1, count + 1))
    reach, before = dijkstra(graph, directed=True, indices=[count], return_predecessors=True)
    reach, before = reach[0], before[0]
    towards = np.where((before[:count] >= 0) & (before[:count] < count), before[:count], -1)
    keys = start.astype(np.int64) * (count + 1) + end
    place = np.searchsorted(keys, towards.astype(np.int64) * (count + 1) + np.arange(count))
    place = np.clip(place, 0, max(len(keys) - 1, 0))
    edge = np.where(towards >= 0, edge_of[place] if len(edge_of) else -1, -1).astype(np.int32)
    return _measured(model, towards.astype(np.int32), edge, reach[:count])


def _one_way(model: Model, chosen: Ints) -> Flags:
    """Which of the chosen edges lead through a device that lets water through in one direction only."""
    flags = np.zeros(len(chosen), bool)
    through = np.flatnonzero(model.edges.kind[chosen] == EdgeKind.PASS)
    node = model.placed.pass_node[model.edges.ref[chosen[through]]]
    one_way = np.array([KINDS[name].one_way for name in NODE_KINDS], bool)
    flags[through] = one_way[model.node_kind[node]]
    return flags


def _shortest_arcs(start: Ints, end: Ints, cost: Floats, edge: Ints) -> tuple[Ints, Ints, Floats, Ints]:
    """Arcs in order of start and end; of two between the same points only the shorter one is kept."""
    order = np.lexsort((edge, cost, end, start))
    start, end, cost, edge = start[order], end[order], cost[order], edge[order]
    first = np.ones(len(start), bool)
    first[1:] = (start[1:] != start[:-1]) | (end[1:] != end[:-1])
    return start[first], end[first], cost[first], edge[first]


def _measured(model: Model, towards: Ints, edge: Ints, reach_m: Floats) -> WaysHome:
    """Distances without the small extras the search needs; a joint counted as made has the gap's length."""
    xyz, length = model.placed.node_xyz_m[model.placed.point_node], model.edges.length_m
    gap = np.linalg.norm(xyz - xyz[towards], axis=1)
    step = np.where(edge >= 0, length[edge], gap) if len(length) else gap
    way = WaysHome(towards, edge, step, reach_m, len(length))
    return replace(way, distance_m=way.distance_to(np.zeros(len(edge), bool)))
