# SPDX-License-Identifier: Apache-2.0
"""Risers and stacks: the vertical chain of runs and joints of one system, through offsets, across parts.

A chain goes straight through tees (from port a to port b) and never into a branch; what lies beyond its first
and last vertical run (the building drain under a stack, the main before a riser) does not belong to it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from riser.network.model import EdgeKind, Model
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints

# A chain that rises less than this is a drop to a fixture, not a riser. Common practice, no source.
LEAST_RISE_M = 2.0
BRANCH_PORTS = ("branch", "branch_2")


@dataclass(frozen=True)
class Riser:
    """One riser or stack: its points and edges (numbers in `Model.edges`) in order from foot to top.

    `name` and `shaft` are those of risers.csv, "" where the engineer has not named it. `edges[i]` leads from
    `points[i]` to `points[i + 1]`.
    """

    name: str
    system: System
    shaft: str
    points: Ints
    edges: Ints

    @property
    def is_named(self) -> bool:
        """Whether risers.csv names it."""
        return bool(self.name)


@dataclass(frozen=True)
class _Straight:
    """Edges of one system with branch ends cut loose: vertices a, b and the edge each stands for."""

    a: Ints
    b: Ints
    edge: Ints


def _branch_ends(model: Model) -> tuple[Flags, Flags]:
    """For each run, whether its from end and its to end enter a branch port."""
    runs = model.placed.types.runs
    start = runs["from_port"].isin(BRANCH_PORTS).to_numpy(bool)
    end = runs["to_port"].isin(BRANCH_PORTS).to_numpy(bool)
    return start[model.placed.run_type], end[model.placed.run_type]


def _straight(model: Model, system: System) -> _Straight:
    edges = model.edges
    chosen = model.edges_of(frozenset({system}))
    count = len(model.placed.point_node)
    start_is_branch, end_is_branch = _branch_ends(model)
    is_run = edges.kind[chosen] == EdgeKind.RUN
    run = np.where(is_run, edges.ref[chosen], 0)
    a = np.where(is_run & start_is_branch[run], count + 2 * run, edges.u[chosen])
    b = np.where(is_run & end_is_branch[run], count + 2 * run + 1, edges.v[chosen])
    return _Straight(a.astype(np.int32), b.astype(np.int32), chosen)


def _edge_is_vertical(model: Model, chosen: Ints) -> Flags:
    edges = model.edges
    is_run: Flags = edges.kind[chosen] == EdgeKind.RUN
    upright: Flags = model.run_vertical[np.where(is_run, edges.ref[chosen], 0)]
    return is_run & upright


def _vertical_rise(model: Model, chosen: Ints) -> Floats:
    edges, types = model.edges, model.placed.types
    vertical = _edge_is_vertical(model, chosen)
    run = np.where(vertical, edges.ref[chosen], 0)
    return np.where(vertical, np.abs(types.run_drop_m[model.placed.run_type[run]]), 0.0)


def _walk(straight: _Straight, members: Ints) -> tuple[list[int], list[int]]:
    """The vertices and edge positions of one chain in order from one end to the other."""
    beside: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for position in members.tolist():
        a, b = int(straight.a[position]), int(straight.b[position])
        beside[a].append((b, position))
        beside[b].append((a, position))
    ends = [vertex for vertex, links in beside.items() if len(links) == 1]
    here = ends[0] if ends else next(iter(beside))
    vertices, path, used = [here], list[int](), set[int]()
    while True:
        onward = [(there, p) for there, p in beside[here] if p not in used]
        if not onward:
            return vertices, path
        here, position = onward[0]
        used.add(position)
        vertices.append(here)
        path.append(position)


def _trimmed(vertical: Flags) -> slice:
    """The part of a chain from its first to its last vertical run."""
    upright = np.flatnonzero(vertical)
    return slice(int(upright[0]), int(upright[-1]) + 1)


def _real_points(model: Model, vertices: list[int]) -> Ints:
    """Vertices as points; a cut branch end is the point of its run there."""
    count = len(model.placed.point_node)
    points = np.array(vertices, dtype=np.int64)
    cut = points >= count
    run = np.where(cut, (points - count) // 2, 0)
    at_end = np.where(cut, (points - count) % 2, 0).astype(bool)
    there = np.where(at_end, model.placed.run_to_point[run], model.placed.run_from_point[run])
    return np.where(cut, there, points).astype(np.int32)


def _one(model: Model, straight: _Straight, members: Ints, system: System) -> Riser:
    vertices, path = _walk(straight, members)
    chosen = straight.edge[np.array(path, dtype=np.int64)]
    span = _trimmed(_edge_is_vertical(model, chosen))
    points = _real_points(model, vertices)[span.start : span.stop + 1]
    chosen = chosen[span]
    level = model.placed.node_xyz_m[model.placed.point_node[points[[0, -1]]], 2]
    if level[0] > level[1]:
        points, chosen = points[::-1], chosen[::-1]
    return Riser("", system, "", points, chosen)


def chains(model: Model, system: System) -> list[Riser]:
    """Every riser or stack of a system that stands, unnamed."""
    straight = _straight(model, system)
    if not len(straight.edge):
        return []
    vertex, place = np.unique(np.concatenate([straight.a, straight.b]), return_inverse=True)
    a, b = place[: len(straight.a)], place[len(straight.a) :]
    graph = coo_array((np.ones(len(a), np.int8), (a, b)), shape=(len(vertex), len(vertex)))
    label = connected_components(graph, directed=False)[1][a]
    rise = np.bincount(label, weights=_vertical_rise(model, straight.edge))
    order = np.argsort(label, kind="stable")
    cuts = np.flatnonzero(np.diff(label[order])) + 1
    groups = np.split(order, cuts)
    return [
        _one(model, straight, members.astype(np.int32), system)
        for members in groups
        if rise[label[members[0]]] >= LEAST_RISE_M
    ]


def risers(model: Model, system: System) -> list[Riser]:
    """The risers of a system, with the names and shafts risers.csv gives to the chain of a `through` stub."""
    frame = model.placed.tables.risers
    rows = frame[frame["system"] == system.label]
    nodes = model.placed.node_numbers(rows["through"].tolist()) if len(rows) else np.zeros(0, np.int32)
    named = {
        int(model.placed.point0[node]): (str(name), str(shaft))
        for node, name, shaft in zip(nodes.tolist(), rows["riser"], rows["shaft"], strict=True)
        if node >= 0
    }
    found = []
    for chain in chains(model, system):
        label = next((named[p] for p in chain.points.tolist() if p in named), ("", ""))
        found.append(Riser(label[0], system, label[1], chain.points, chain.edges))
    return found


def all_risers(model: Model) -> list[Riser]:
    """The risers of every system, in the order of the systems."""
    return [riser for system in System for riser in risers(model, system)]
