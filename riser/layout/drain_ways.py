# SPDX-License-Identifier: Apache-2.0
"""Whether drains lead anywhere: to an outfall, in a ring, or into a dead end (D04, D07, D08)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.cut_off import CutOff, Search, cause_of_open_end, unconnected, waiting_pieces, without_way
from riser.layout.drainage import PASSED, Drainage, lives, waiting_points
from riser.layout.judging import Judging
from riser.layout.nets import BlindLegs, blind_legs, level_lengths_m, net_of
from riser.layout.rings import Ring
from riser.network.model import EdgeKind, Model
from riser.network.systems import DRAINS, System
from riser.network.types import Ints
from riser.network.views import edge_id
from riser.network.where import node_place
from riser.rules import Cell

NO_OUTFALL = FindingKind(
    "D04",
    "fixture without a way to an outfall",
    Severity.ERROR,
    COMMON_PRACTICE,
    "From the drain of a fixture, roof outlet or gully no pipe leads on to an outfall or a sump.",
    "Draw or join the missing pipe.",
)
DEAD_END = FindingKind(
    "D07",
    "dead end in a drain",
    Severity.WARNING,
    COMMON_PRACTICE,
    "A horizontal drain ends blind, farther from the pipe it joins than the rule set allows.",
    "Shorten it, take it out, or end it with a cleanout.",
)
RING = FindingKind(
    "D08",
    "loop of drain-carrying pipes",
    Severity.ERROR,
    COMMON_PRACTICE,
    "Drain pipes lead round in a ring, so that nobody can say which way water takes.",
    "Take out one pipe of the ring.",
)
KINDS = (NO_OUTFALL, DEAD_END, RING)

# A ring is named by its pipes; of a long one these many, in the order of their ids, are name enough.
NAMED_PIPES = 12


def findings(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D04, D07 and D08."""
    cut = without_outfall(drainage, judging)
    return [
        *cut.findings,
        *dead_ends(drainage, judging, cut),
        *[_ring(drainage, judging, ring) for ring in drainage.rings],
    ]


def without_outfall(drainage: Drainage, judging: Judging) -> CutOff:
    """D04: fixtures, roof outlets and gullies without a way to an outfall."""
    model, fixtures, placed = drainage.model, drainage.fixtures, drainage.model.placed
    label = net_of(model, DRAINS).label
    search = Search(
        NO_OUTFALL,
        "drainage",
        "outlet",
        "an outfall",
        drainage.way,
        label,
        waiting_pieces(label, waiting_points(model)),
    )
    roof, gully = model.nodes_of_kind("roof_outlet"), model.nodes_of_kind("gully")
    point = np.concatenate([fixtures.point("waste"), placed.point0[roof], placed.point0[gully] + 1])
    run = fixtures.run_at[point]
    joined = run >= 0
    point, run = point[joined], run[joined]
    node = placed.point_node[point]
    cut = without_way(judging, search, point, run, lambda n: placed.node_id(int(node[n])))
    dry = fixtures.node[np.any([flags for _, flags in fixtures.lacking(frozenset({"waste"}))], axis=0)]
    bare = np.concatenate([dry, _unjoined(drainage, roof, 0), _unjoined(drainage, gully, 1)])
    return CutOff(
        [*cut.findings, *(unconnected(judging, search, n, ["waste"], System.WASTE) for n in bare.tolist())],
        cut.ends,
    )


def _unjoined(drainage: Drainage, nodes: Ints, group: int) -> Ints:
    """Those of these nodes at whose outlet no pipe begins."""
    bare: Ints = nodes[drainage.fixtures.run_at[drainage.model.placed.point0[nodes] + group] < 0]
    return bare


def _ring(drainage: Drainage, judging: Judging, ring: Ring) -> Finding:
    model, net = drainage.model, drainage.net
    members = np.array(ring.edges, np.int64)
    ids = sorted(edge_id(model, int(net.edge[e])) for e in ring.edges)
    runs = net.ref[members[net.kind[members] == EdgeKind.RUN]]
    joints = net.ref[members[net.kind[members] == EdgeKind.JOINT]]
    nodes = model.placed.point_node[np.concatenate([net.u[members], net.v[members]])]
    lowest = int(nodes[np.argmin(model.placed.node_xyz_m[nodes, 2])])
    around = float(net.length_m[members].sum())
    says = (
        f"{len(ids)} drain pipes and joints lead round in a ring of {around:.2f} m: "
        f"{', '.join(ids[:NAMED_PIPES])}{' and more' if len(ids) > NAMED_PIPES else ''}."
    )
    system = int(model.run_system[runs[0]]) if len(runs) else -1
    return judging.finding(
        RING,
        "drainage",
        node_place(model, lowest, system),
        ids[:NAMED_PIPES],
        says,
        because=_doubled_joint(model, joints) if not len(runs) else None,
        runs=runs.tolist(),
        joints=joints.tolist(),
    )


def _doubled_joint(model: Model, joints: Ints) -> str | None:
    """The key of the finding that a stub stands in two rows, where the rows for one pair make the ring."""
    pairs = np.sort(np.stack([model.joints.stub_a[joints], model.joints.stub_b[joints]], axis=1))
    if len(np.unique(pairs, axis=0)) != 1:
        return None
    return f"J07:{model.placed.node_id(int(pairs[0, 0]))}"


def dead_ends(drainage: Drainage, judging: Judging, cut: CutOff) -> list[Finding]:
    """D07: horizontal drains that end blind. A closed stack top is no dead end: it is D06."""
    net = net_of(drainage.model, DRAINS | {System.VENT})
    alive = lives(net, PASSED)
    ends = np.flatnonzero((net.degree == 1) & ~alive).astype(np.int32)
    legs, _ = blind_legs(net, ends, alive, level_lengths_m(net))
    level = np.flatnonzero((legs.level_m > 0.0) & np.isfinite(drainage.way.distance_m[legs.end]))
    if not len(level):
        return []
    cell = judging.limit("drainage", "dead_end_length", "dead ends in drains")
    if cell is None:
        return []
    long = level[legs.level_m[level] > cell.number]
    return [_dead_end(drainage, judging, cut, legs, n, cell) for n in long.tolist()]


def _dead_end(
    drainage: Drainage, judging: Judging, cut: CutOff, legs: BlindLegs, leg: int, cell: Cell
) -> Finding:
    model = drainage.model
    end, foot = (int(model.placed.point_node[points[leg]]) for points in (legs.end, legs.foot))
    run = int(drainage.fixtures.run_at[legs.end[leg]])
    name = model.placed.node_id(end)
    says = (
        f"{name} is a blind end {legs.level_m[leg]:.2f} m along horizontal drain from "
        f"{model.placed.node_id(foot)}; {cell.number:.2f} m is the most allowed."
    )
    return judging.finding(
        DEAD_END,
        "drainage",
        node_place(model, end, int(model.run_system[run])),
        (name,),
        says,
        cell=cell,
        because=cause_of_open_end(model, cut, end),
        nodes=(end,),
        runs=(run,),
    )
