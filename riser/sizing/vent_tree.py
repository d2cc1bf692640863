# SPDX-License-Identifier: Apache-2.0
"""The vents of a building as a tree with its root in the open air: which drains each vent serves.

A vent pipe is one that stays dry and leads to open air: drawn as vent, or as the soil or waste pipe above the
highest branch of a stack. Where it meets a pipe that carries water it serves that drain.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from riser.network.model import EdgeKind
from riser.network.systems import AIR, System
from riser.network.tracing import detours
from riser.network.types import Flags, Floats, Ints
from riser.sizing.drain_tree import DrainTree
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.stacks import Stack
from riser.sizing.ways_home import WaysHome, ways_home


@dataclass(frozen=True)
class StackVents:
    """Where the vents of one stack begin: at its top, at its foot (at or below the lowest branch) and
    between.
    """

    stack: int
    top: tuple[int, ...]
    foot: tuple[int, ...]
    between: tuple[int, ...]


@dataclass(frozen=True)
class VentTree:
    """All vents of a model. Arrays are by point and tell of the vent that leaves it towards open air.

    `served` marks the points where vents meet wet pipes. `ways_of_stacks` holds pairs of point and stack for
    each vent that belongs to stacks.
    """

    drains: DrainTree
    way: WaysHome
    served: Flags
    of_stack: tuple[StackVents, ...]
    ways_of_stacks: Ints

    @cached_property
    def run(self) -> Ints:
        """The run that leaves each point towards open air; -1 where a joint or nothing does."""
        edges, edge = self.drains.model.edges, self.way.edge
        if not len(edges.kind):
            return np.full(len(edge), -1, np.int32)
        is_run = (edge >= 0) & (edges.kind[edge] == EdgeKind.RUN)
        return np.where(is_run, edges.ref[edge], -1).astype(np.int32)

    @cached_property
    def is_main(self) -> Flags:
        """Whether the vent leaving each point is a stack vent, a vent stack or a header."""
        flags = np.zeros(len(self.served), bool)
        flags[self.ways_of_stacks[:, 0]] = True
        return flags

    @cached_property
    def kind(self) -> Ints:
        """The part the vent leaving each point plays (PipeKind)."""
        count = len(self.served)
        serves = self.way.gathered(self.served.astype(np.int32))
        between = np.zeros(count, np.int32)
        top = np.zeros(count, np.int32)
        for vents in self.of_stack:
            between[list(vents.between)] = 1
            top[list(vents.top)] = 1
        kind = np.where(serves > 1, PipeKind.BRANCH_VENT, PipeKind.INDIVIDUAL_VENT)
        one_fixture = np.where(self.served, self.drains.loads.fixtures_above, 0)
        kind = np.where(self.way.gathered(one_fixture) > 1, PipeKind.BRANCH_VENT, kind)
        kind = np.where(self.way.gathered(between) > 0, PipeKind.RELIEF_VENT, kind)
        kind = np.where(serves > 0, kind, PipeKind.DRY)
        stacks = np.bincount(self.ways_of_stacks[:, 0], minlength=count)
        from_top = self.way.gathered(top) > 0
        main = np.where(from_top, PipeKind.STACK_VENT, PipeKind.VENT_STACK)
        # Stacks that share a vent from their feet share a vent stack; a header gathers at their tops.
        main = np.where((stacks > 1) & from_top, PipeKind.VENT_HEADER, main)
        kind = np.where(self.is_main, main, kind)
        return np.where(self.way.has_way, kind, PipeKind.DRY).astype(np.int32)

    @cached_property
    def developed_length_m(self) -> Floats:
        """The developed length that counts for the vent leaving each point [m].

        For the vents of stacks from the farthest connection to a drain up to the open air; for a header as if
        it were the direct extension of the farthest stack, from that stack's foot; for all other vents from
        the farthest connection to where they join a vent of a stack, or open air.
        """
        far = self._farthest(np.where(self._begins_stack_vent, self.way.distance_m, -np.inf))
        header = self._farthest(self._from_foot)
        length = np.where(self.is_main, far, self._farthest(self._from_drains))
        length = np.where(self.kind == PipeKind.VENT_HEADER, header, length)
        return np.where(np.isfinite(length), length, np.nan)

    def _farthest(self, distance_m: Floats) -> Floats:
        return self.way.gathered(distance_m, np.maximum)

    @cached_property
    def _begins_stack_vent(self) -> Flags:
        flags = np.zeros(len(self.served), bool)
        for vents in self.of_stack:
            flags[[*vents.top, *vents.foot]] = True
        return flags

    @cached_property
    def _from_foot(self) -> Floats:
        """At each beginning of a stack's vent the way to open air, with the stack itself where it begins at
        the top.
        """
        far = np.full(len(self.served), -np.inf)
        drained = self.drains.way.distance_m
        for vents in self.of_stack:
            stack = self.drains.stacks[vents.stack]
            height = drained[stack.top] - drained[stack.foot]
            for point in vents.top:
                far[point] = max(far[point], self.way.distance_m[point] + height)
            for point in vents.foot:
                far[point] = max(far[point], self.way.distance_m[point])
        return far

    @cached_property
    def _from_drains(self) -> Floats:
        """At each drain served by a vent of no stack the way to where that joins one, or to open air [m]."""
        distance = self.way.distance_to(self.is_main)
        return np.where(self.served & ~self._begins_stack_vent, distance, -np.inf)

    def begins_at(self, point: int) -> int:
        """The drain from which the developed length of the vent leaving a point is counted."""
        far = np.where(self._begins_stack_vent, self.way.distance_m, -np.inf)
        if self.kind[point] == PipeKind.VENT_HEADER:
            far = self._from_foot
        elif not self.is_main[point]:
            far = self._from_drains
        return int(np.argmax(np.where(self.way.upstream(point), far, -np.inf)))


def vent_tree(drains: DrainTree, foot_diameters: float, stack_sizes_m: Mapping[int, float]) -> VentTree:
    """The vents of the model under a drain tree.

    A vent that begins within `foot_diameters` downstream of a stack's foot counts as begun at the foot;
    `stack_sizes_m` gives the size of each stack there.
    """
    model = drains.model
    edges = model.edges
    chosen = model.edges_of(frozenset(AIR))
    wet = np.zeros(len(edges.kind), bool)
    leaving = np.flatnonzero((drains.way.edge >= 0) & drains.loads.is_wet)
    wet[drains.way.edge[leaving]] = True
    wet |= drains.in_ring & (edges.system_u != System.VENT)
    dry = chosen[~wet[chosen]]
    homes = _points_of(drains, model.nodes_of_kind("vent_terminal", "air_admittance_valve"))
    homes = np.concatenate([homes, _closed_tops(drains, dry, homes)])
    way = ways_home(model, frozenset(AIR), dry, homes)
    served = _served(drains, way)
    of_stack = tuple(
        _stack_vents(drains, number, stack, served, foot_diameters * stack_sizes_m.get(number, 0.0))
        for number, stack in enumerate(drains.stacks)
    )
    return VentTree(drains, way, served, of_stack, _ways_of_stacks(way, of_stack))


def _points_of(drains: DrainTree, nodes: Ints) -> Ints:
    return np.flatnonzero(np.isin(drains.model.placed.point_node, nodes)).astype(np.int32)


def _closed_tops(drains: DrainTree, dry: Ints, homes: Ints) -> Ints:
    """The highest ends of the vents of stacks from which no way leads to open air, not even up the stack.

    They count as open: sizes are those of the building as meant, and the closed stack is a finding.
    """
    model, edges = drains.model, drains.model.edges
    count = len(model.placed.point_node)
    detour_u, detour_v, _ = detours(model, frozenset(AIR))
    u, v = np.concatenate([edges.u[dry], detour_u]), np.concatenate([edges.v[dry], detour_v])
    stacks = [stack.points for stack in drains.stacks]
    beside = _labels(
        np.concatenate([u, *(points[:-1] for points in stacks)]),
        np.concatenate([v, *(points[1:] for points in stacks)]),
        count,
    )
    closed = np.zeros(count, bool)
    closed[beside[[points[0] for points in stacks]]] = True
    closed[beside[homes]] = False
    ends = np.unique(np.concatenate([u, v]))
    ends = ends[closed[beside[ends]]]
    piece, level = _labels(u, v, count)[ends], model.placed.node_xyz_m[model.placed.point_node[ends], 2]
    order = np.lexsort((ends, -level, piece))
    first = np.unique(piece[order], return_index=True)[1]
    tops: Ints = ends[order[first]].astype(np.int32)
    return tops


def _labels(u: Ints, v: Ints, count: int) -> Ints:
    """For every point the number of the connected piece it belongs to."""
    graph = csr_array((np.ones(len(u), np.int8), (u, v)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)


def _served(drains: DrainTree, way: WaysHome) -> Flags:
    """The points of wet pipes from which a vent leaves."""
    flags: Flags = way.has_way & (way.next_point >= 0) & drains.loads.is_wet & drains.way.has_way
    return flags


def _stack_vents(drains: DrainTree, number: int, stack: Stack, served: Flags, foot_m: float) -> StackVents:
    """Sorts the vents that meet a stack by where they meet it."""
    lowest = stack.intervals[-1].points[-1]
    place = {point: n for n, point in enumerate(stack.points.tolist())}
    low = place[lowest]
    on_stack = stack.points[served[stack.points]].tolist()
    top = tuple(p for p in on_stack if place[p] == 0)
    foot = tuple(p for p in on_stack if place[p] >= low and place[p] > 0)
    between = tuple(p for p in on_stack if 0 < place[p] < low)
    return StackVents(number, top, foot + _below_foot(drains, stack, served, foot_m), between)


def _below_foot(drains: DrainTree, stack: Stack, served: Flags, limit_m: float) -> tuple[int, ...]:
    """The vents that begin on the horizontal drain within a distance downstream of the foot."""
    start, others = drains.way.distance_m[stack.foot], drains.stacks_above
    found = []
    for point in drains.way.onward(stack.foot):
        if start - drains.way.distance_m[point] > limit_m:
            break
        if served[point] and point != stack.foot:
            found.append(point)
        if others[point] > others[stack.foot]:
            break
    return tuple(found)


def _ways_of_stacks(way: WaysHome, of_stack: tuple[StackVents, ...]) -> Ints:
    """Pairs (point, stack) along the ways from the beginnings of each stack's vents to open air."""
    pairs = {
        (point, vents.stack)
        for vents in of_stack
        for start in (*vents.top, *vents.foot)
        for point in way.onward(start)
        if way.next_point[point] >= 0
    }
    return np.array(sorted(pairs), np.int32).reshape(-1, 2)
