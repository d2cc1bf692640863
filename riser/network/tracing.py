# SPDX-License-Identifier: Apache-2.0
"""Tracing: what hangs together, which way it leads home, and which fault cuts it off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components, dijkstra

from riser.network.kinds import KINDS, NODE_KINDS
from riser.network.model import EdgeKind, Model
from riser.network.systems import DRAINS, FOUL, SUPPLY, System
from riser.network.types import Flags, Floats, Ints

# A joint that cannot be made counts as a detour of this many metres, so that a way home through as few of
# them as possible is found.
DETOUR_M = 1.0e6
LEAST_LENGTH_M = 1.0e-6


@dataclass(frozen=True)
class Ways:
    """Ways home from every point. `distance_m` is infinite where there is none; `next_point` leads one step
    nearer (-1 at home or lost); `cut_by` is the broken joint whose repair would open the way (-1 none).
    """

    distance_m: Floats
    next_point: Ints
    cut_by: Ints


def labels(model: Model, systems: frozenset[System]) -> Ints:
    """For every point the number of the connected piece of these systems it belongs to."""
    return labels_of(model, model.edges_of(systems))


def labels_of(model: Model, chosen: Ints) -> Ints:
    """For every point the number of the connected piece it belongs to, by these edges alone."""
    edges, count = model.edges, len(model.placed.point_node)
    weights = np.ones(len(chosen), np.int8)
    graph = csr_array((weights, (edges.u[chosen], edges.v[chosen])), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)


def _graph(u: Ints, v: Ints, length_m: Floats, homes: Ints, count: int) -> csr_array:
    """The weighted graph with one more vertex, tied to every home."""
    start = np.concatenate([u, v, np.full(len(homes), count)])
    end = np.concatenate([v, u, homes])
    cost = np.concatenate([length_m, length_m, np.zeros(len(homes))]) + LEAST_LENGTH_M
    order = np.lexsort((cost, end, start))
    start, end, cost = start[order], end[order], cost[order]
    # Two edges between the same points must not be added up: the shorter one is the way.
    keep = np.ones(len(start), bool)
    keep[1:] = (start[1:] != start[:-1]) | (end[1:] != end[:-1])
    return csr_array((cost[keep], (start[keep], end[keep])), shape=(count + 1, count + 1))


def _search(u: Ints, v: Ints, length_m: Floats, homes: Ints, count: int) -> tuple[Floats, Ints]:
    graph = _graph(u, v, length_m, homes, count)
    distance, before = dijkstra(graph, directed=True, indices=[count], return_predecessors=True)
    distance, before = distance[0], before[0]
    before = np.where((before == count) | (before < 0), -1, before)
    return distance[:count], before[:count].astype(np.int32)


def detours(model: Model, systems: frozenset[System]) -> tuple[Ints, Ints, Ints]:
    """What water would find if each broken joint of these systems were repaired: points u, v, and the joint.

    A joint whose second stub is missing leads to the nearest point of the same system in the part that stub
    should have been on.
    """
    joints = model.joints
    u: list[int] = []
    v: list[int] = []
    joint: list[int] = []
    for n in joints.broken.tolist():
        ends = [_healed_end(model, n, side, systems) for side in (0, 1)]
        if ends[0] < 0 or ends[1] < 0:
            continue
        u.append(ends[0])
        v.append(ends[1])
        joint.append(n)
    return np.array(u, np.int32), np.array(v, np.int32), np.array(joint, np.int32)


def _healed_end(model: Model, joint: int, side: int, systems: frozenset[System]) -> int:
    """The point a broken joint would lead to on one side; -1 where these systems have none there."""
    placed, joints = model.placed, model.joints
    stubs = (int(joints.stub_a[joint]), int(joints.stub_b[joint]))
    stub, other = stubs[side], stubs[1 - side]
    system = int(model.node_system[stub if stub >= 0 else other]) if max(stubs) >= 0 else -1
    if system < 0 or System(system) not in systems:
        return -1
    if stub >= 0:
        return int(placed.point0[stub]) if model.node_standing[stub] else -1
    text = str((joints.text_a, joints.text_b)[side][joint])
    part = placed.part_number.get(text.partition("/")[0], -1)
    if part < 0 or not model.standing[part]:
        return -1
    points = np.flatnonzero((placed.point_part == part) & ((model.point_systems & (1 << system)) != 0))
    if not len(points):
        return -1
    away = placed.node_xyz_m[placed.point_node[points]] - placed.node_xyz_m[other]
    return int(points[np.argmin(np.linalg.norm(away, axis=1))])


def ways(model: Model, systems: frozenset[System], homes: Ints) -> Ways:
    """The shortest way from every point of these systems to the nearest of the home points.

    For a point without a way, `cut_by` is the broken joint nearest to home on the way it would have if all
    broken joints were repaired.
    """
    edges, count = model.edges, len(model.placed.point_node)
    chosen = model.edges_of(systems)
    chosen = chosen[~feeds_home(model, chosen, homes)]
    u, v, length = edges.u[chosen], edges.v[chosen], edges.length_m[chosen]
    distance, towards = _search(u, v, length, homes, count)
    extra_u, extra_v, joint = detours(model, systems)
    if not len(joint):
        return Ways(distance, towards, np.full(count, -1, np.int32))
    healed = _search(
        np.concatenate([u, extra_u]),
        np.concatenate([v, extra_v]),
        np.concatenate([length, np.full(len(joint), DETOUR_M)]),
        homes,
        count,
    )
    joint_at = dict(zip(_both(extra_u, extra_v), _twice(joint), strict=True))
    return Ways(distance, towards, _cuts(distance, healed, joint_at))


def feeds_home(model: Model, chosen: Ints, homes: Ints) -> Flags:
    """Which edges lead from the inlet of a device to its outlet where one of them is a home.

    What feeds a tank or a heater is not fed by it, and what a sump's pump lifts does not run back into it.
    """
    edges, placed = model.edges, model.placed
    inlet = placed.types.point_group[placed.point_type[edges.u[chosen]]] == 0
    home = np.isin(edges.v[chosen], homes) | np.isin(edges.u[chosen], homes)
    flags: Flags = (edges.kind[chosen] == EdgeKind.PASS) & inlet & home
    return flags


def _both(u: Ints, v: Ints) -> list[tuple[int, int]]:
    return [*zip(u.tolist(), v.tolist(), strict=True), *zip(v.tolist(), u.tolist(), strict=True)]


def _twice(joint: Ints) -> list[int]:
    return [*joint.tolist(), *joint.tolist()]


def _cuts(distance: Floats, healed: tuple[Floats, Ints], joint_at: dict[tuple[int, int], int]) -> Ints:
    """Passes each cut on from home outwards: the cut nearest home is the one to repair first."""
    reach, towards = healed
    cut_by = np.full(len(distance), -1, np.int32)
    lost = np.flatnonzero(np.isinf(distance) & np.isfinite(reach))
    for point in lost[np.argsort(reach[lost], kind="stable")].tolist():
        nearer = int(towards[point])
        if nearer < 0:
            continue
        inherited = int(cut_by[nearer])
        cut_by[point] = inherited if inherited >= 0 else joint_at.get((point, nearer), -1)
    return cut_by


def _points_of(model: Model, nodes: Ints) -> Ints:
    """All points of these nodes."""
    return np.flatnonzero(np.isin(model.placed.point_node, nodes)).astype(np.int32)


def named_ends(model: Model, systems: frozenset[System]) -> Ints:
    """The end nodes that systems.csv names for networks of these systems; unknown ones are left out."""
    frame = model.placed.tables.systems
    rows = frame[frame["system"].isin([s.label for s in systems]) & (frame["end"] != "")]
    nodes = model.placed.node_numbers(rows["end"].tolist()) if len(rows) else np.zeros(0, np.int32)
    nodes = nodes[nodes >= 0]
    standing: Ints = nodes[model.node_standing[nodes]]
    return standing


def outfall_points(model: Model) -> Ints:
    """Where drains end: outfalls, and the inlets of sumps (a pump lifts the rest of the way)."""
    points = _points_of(model, model.nodes_of_kind("outfall"))
    sumps = _points_of(model, model.nodes_of_kind("sump"))
    inlets: Ints = sumps[model.placed.types.point_group[model.placed.point_type[sumps]] == 0]
    return np.concatenate([points, inlets])


def source_points(model: Model, systems: frozenset[System]) -> Ints:
    """Where pressure pipework begins: mains, fire inlets, and what systems.csv names as a source."""
    kinds = ("fire_inlet", "mains_connection") if System.FIRE in systems else ("mains_connection",)
    named = named_ends(model, systems)
    points = _points_of(model, np.concatenate([model.nodes_of_kind(*kinds), named]))
    sources: Ints = points[_gives_water(model, points)]
    return sources


def _gives_water(model: Model, points: Ints) -> Flags:
    """Whether water comes out at each point of a source: of a tank or another device at its outlets."""
    outlets = [{end for _, end in KINDS[name].passes} or {0} for name in NODE_KINDS]
    group = model.placed.types.point_group[model.placed.point_type[points]]
    kind = model.node_kind[model.placed.point_node[points]]
    flags: Flags = np.array(
        [g in outlets[k] for g, k in zip(group.tolist(), kind.tolist(), strict=True)], dtype=bool
    )
    return flags


def drain_ways(model: Model) -> Ways:
    """Ways from every drain point to an outfall."""
    return ways(model, DRAINS, outfall_points(model))


def supply_ways(model: Model) -> Ways:
    """Ways from every supply point to a source."""
    return ways(model, SUPPLY, source_points(model, SUPPLY))


def fire_ways(model: Model) -> Ways:
    """Ways from every fire-water point to a fire inlet, a tank or a main."""
    systems = frozenset({System.FIRE})
    return ways(model, systems, source_points(model, systems))


def run_flow(model: Model, way: Ways) -> Ints:
    """For each run +1 where water bound for home passes it from `from` to `to`, -1 back, 0 unknown."""
    start = way.distance_m[model.placed.run_from_point]
    end = way.distance_m[model.placed.run_to_point]
    known = np.isfinite(start) & np.isfinite(end)
    difference = np.where(known, np.where(known, start, 0.0) - np.where(known, end, 0.0), 0.0)
    return np.sign(difference).astype(np.int32)


__all__ = ["DRAINS", "FOUL", "Ways", "drain_ways", "fire_ways", "labels", "run_flow", "supply_ways", "ways"]
