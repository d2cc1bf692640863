# SPDX-License-Identifier: Apache-2.0
"""The pipework of some systems as a net of points, and walks along it, many at a time.

A net holds the edges of a model that belong to some systems. Walks go step by step for all starting points at
once, so that a tower takes as many steps as its longest pipe has points, and no loop runs over its parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, dijkstra

from riser.network.model import EdgeKind, Model
from riser.network.systems import System
from riser.network.tracing import LEAST_LENGTH_M, feeds_home
from riser.network.types import Flags, Floats, Ints


@dataclass(frozen=True)
class Net:
    """Edges of a model: `edge` are their numbers in `Model.edges`; `u`, `v` the points they join."""

    model: Model
    edge: Ints
    u: Ints
    v: Ints

    @property
    def point_count(self) -> int:
        """The number of points of the whole model."""
        return len(self.model.placed.point_node)

    @cached_property
    def length_m(self) -> Floats:
        """The length of each edge."""
        return self.model.edges.length_m[self.edge]

    @cached_property
    def kind(self) -> Ints:
        """What each edge stands for (EdgeKind)."""
        return self.model.edges.kind[self.edge]

    @cached_property
    def ref(self) -> Ints:
        """The number of each edge in its own table."""
        return self.model.edges.ref[self.edge]

    @cached_property
    def degree(self) -> Ints:
        """How many edge ends meet at each point."""
        ends = np.concatenate([self.u, self.v])
        return np.bincount(ends, minlength=self.point_count).astype(np.int32)

    @cached_property
    def label(self) -> Ints:
        """For every point the number of the connected piece it belongs to."""
        shape = (self.point_count, self.point_count)
        graph = csr_array((np.ones(len(self.u), np.int8), (self.u, self.v)), shape=shape)
        return connected_components(graph, directed=False)[1].astype(np.int32)

    @cached_property
    def _beside(self) -> tuple[Ints, Ints]:
        """Edge positions sorted by the point they meet at, and where each point's block begins."""
        ends = np.concatenate([self.u, self.v])
        order = np.argsort(ends, kind="stable")
        position = np.concatenate([np.arange(len(self.u)), np.arange(len(self.u))]).astype(np.int32)
        start = np.concatenate([[0], np.cumsum(self.degree)]).astype(np.int64)
        return position[order], start

    def at(self, point: int) -> list[int]:
        """The positions of the edges that meet at a point."""
        position, start = self._beside
        here: list[int] = position[start[point] : start[point + 1]].tolist()
        return here

    def other_end(self, position: int, point: int) -> int:
        """The point at the other end of an edge."""
        return int(self.v[position] if self.u[position] == point else self.u[position])

    def without(self, away: Flags) -> Net:
        """The net without some of its edges."""
        keep = ~away
        return Net(self.model, self.edge[keep], self.u[keep], self.v[keep])

    def reach(self, start: int, allowed: Flags) -> Iterator[int]:
        """The points that hang together with one through allowed points only, nearest first."""
        seen = {start}
        queue = [start]
        for point in queue:
            yield point
            for position in self.at(point):
                there = self.other_end(position, point)
                if there not in seen and allowed[there]:
                    seen.add(there)
                    queue.append(there)

    def within(self, start: int, limit_m: float) -> dict[int, float]:
        """The points no farther than `limit_m` along the pipe from one, and how far they are [m]."""
        far = {start: 0.0}
        queue = [start]
        for point in queue:
            for position in self.at(point):
                there = self.other_end(position, point)
                way = far[point] + float(self.length_m[position])
                if way <= limit_m and way < far.get(there, np.inf):
                    far[there] = way
                    queue.append(there)
        return far


def net_of(model: Model, systems: Iterable[System]) -> Net:
    """The net of these systems."""
    edge = model.edges_of(frozenset(systems))
    return Net(model, edge, model.edges.u[edge], model.edges.v[edge])


@dataclass(frozen=True)
class Tree:
    """The way home from every point of a net: the next point, the edge that leads there (a position in the
    net) and the distance home. -1 at home and where there is no way.
    """

    net: Net
    towards: Ints
    via: Ints
    distance_m: Floats

    @cached_property
    def edge_from(self) -> Ints:
        """For each edge of the net the point whose way home begins with it; -1 where no way uses it."""
        start = np.full(len(self.net.edge), -1, np.int32)
        leaving = np.flatnonzero(self.via >= 0)
        start[self.via[leaving]] = leaving
        return start

    def marked(self, starts: Ints) -> Flags:
        """All points on the ways home from these points, the points themselves included."""
        flags = np.zeros(self.net.point_count, bool)
        here = np.unique(starts)
        while len(here):
            flags[here] = True
            onward = self.towards[here]
            onward = onward[onward >= 0]
            here = np.unique(onward[~flags[onward]])
        return flags

    def first_on_the_way(self, starts: Ints, stop: Flags) -> Ints:
        """For each start the first point on its way home, itself included, where `stop` holds; -1 if none."""
        here = starts.astype(np.int64)
        going = np.flatnonzero(here >= 0)
        going = going[~stop[here[going]]]
        while len(going):
            here[going] = self.towards[here[going]]
            going = going[here[going] >= 0]
            going = going[~stop[here[going]]]
        return here.astype(np.int32)

    def path(self, start: int) -> Iterator[tuple[int, int]]:
        """The way home from one point: each next point and the edge that leads to it."""
        here = start
        while self.towards[here] >= 0:
            position, here = int(self.via[here]), int(self.towards[here])
            yield here, position


def tree_to(net: Net, homes: Ints) -> Tree:
    """The shortest way along the net from every point to the nearest of the home points."""
    if not len(homes):
        nowhere = np.full(net.point_count, -1, np.int32)
        return Tree(net, nowhere, nowhere.copy(), np.full(net.point_count, np.inf))
    shape = (net.point_count, net.point_count)
    # Where two points are joined twice, the shorter pipe is the way: it must stand alone in the graph.
    order = np.lexsort((net.length_m, np.maximum(net.u, net.v), np.minimum(net.u, net.v)))
    order = order[~feeds_home(net.model, net.edge[order], homes)]
    u, v = net.u[order], net.v[order]
    low, high = np.minimum(u, v), np.maximum(u, v)
    first = np.ones(len(order), bool)
    first[1:] = (low[1:] != low[:-1]) | (high[1:] != high[:-1])
    cost = net.length_m[order][first] + LEAST_LENGTH_M
    graph = csr_array((cost, (low[first], high[first])), shape=shape)
    distance, towards, _ = dijkstra(
        graph, directed=False, indices=np.unique(homes), min_only=True, return_predecessors=True
    )
    towards = np.where(towards < 0, -1, towards).astype(np.int32)
    via = np.full(net.point_count, -1, np.int32)
    used = order[first].astype(np.int32)
    for start, end in ((net.u[used], net.v[used]), (net.v[used], net.u[used])):
        leads = towards[start] == end
        via[start[leads]] = used[leads]
    return Tree(net, towards, via, distance)


@dataclass(frozen=True)
class BlindLegs:
    """Pipes that lead nowhere, one per blind end: `end` its point, `foot` the point where it leaves pipework
    that leads somewhere (or the far end of a piece that leads nowhere at all), `first` the edge at the foot,
    and its length along the pipe and in plan along horizontal pipes.
    """

    end: Ints
    foot: Ints
    first: Ints
    length_m: Floats
    level_m: Floats


def blind_legs(net: Net, ends: Ints, lives: Flags, level_m: Floats) -> tuple[BlindLegs, Ints]:
    """The legs behind blind ends, and for every point how many living edges are left without them.

    `ends` are the points where pipes end blind, `lives` the points where something begins or ends, so that no
    leg passes them, and `level_m` the length in plan of each edge. Two legs that meet go on as one; the
    other keeps its own length.
    """
    degree = net.degree.copy()
    left = _edge_sums(net)
    here = ends[(degree[ends] == 1) & ~lives[ends]].astype(np.int64)
    end = here.copy()
    first = np.full(len(here), -1, np.int64)
    length, level = np.zeros(len(here)), np.zeros(len(here))
    going = np.arange(len(here))
    while len(going):
        edge = left[here[going]]
        there = np.where(net.u[edge] == here[going], net.v[edge], net.u[edge])
        # Both ends of a piece that leads nowhere may set out at once: only one may eat an edge.
        _, alone = np.unique(edge, return_index=True)
        going, edge, there = going[alone], edge[alone], there[alone]
        degree[here[going]] -= 1
        np.subtract.at(degree, there, 1)
        np.subtract.at(left, there, edge)
        length[going] += net.length_m[edge]
        level[going] += level_m[edge]
        first[going], here[going] = edge, there
        on = (degree[there] == 1) & ~lives[there]
        # Where legs meet, the longest goes on.
        order = np.argsort(-length[going[on]], kind="stable")
        _, place = np.unique(there[on][order], return_index=True)
        going = going[on][order][place]
    legs = BlindLegs(end.astype(np.int32), here.astype(np.int32), first.astype(np.int32), length, level)
    return legs, degree.astype(np.int32)


def _edge_sums(net: Net) -> Ints:
    """For each point the sum of its edges' positions: where one edge is left, this is its position."""
    total = np.zeros(net.point_count, np.int64)
    np.add.at(total, net.u, np.arange(len(net.u)))
    np.add.at(total, net.v, np.arange(len(net.v)))
    return total


def level_lengths_m(net: Net) -> Floats:
    """The length in plan of each edge that is not vertical; 0 for a vertical one."""
    model, placed = net.model, net.model.placed
    ends = placed.node_xyz_m[placed.point_node[net.v]] - placed.node_xyz_m[placed.point_node[net.u]]
    plan = np.linalg.norm(ends[:, :2], axis=1)
    vertical = np.abs(ends[:, 2]) >= plan
    run = net.kind == EdgeKind.RUN
    plan[run] = placed.types.run_plan_m[placed.run_type[net.ref[run]]]
    vertical[run] = model.run_vertical[net.ref[run]]
    return np.where(vertical, 0.0, plan)
