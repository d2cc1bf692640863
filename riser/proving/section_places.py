# SPDX-License-Identifier: Apache-2.0
"""The real things a test section is bounded by: where a plug goes in, which valve is shut, what is capped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.joints import JointState
from riser.network.kinds import NODE_KINDS
from riser.network.model import EdgeKind, Model
from riser.network.systems import AIR, DRAINS
from riser.network.tracing import drain_ways
from riser.network.types import Flags, Ints

PLUG_PLACES = ("test_tee", "cleanout")
# Nothing is tested through these: they are taken out or blanked on both sides. Common practice, no source.
TAKEN_OUT = (
    "tank",
    "heater",
    "pump",
    "reducing_valve",
    "backflow_preventer",
    "meter",
    "sump",
)
# How an end is closed for a test, by the kind of node that stands there.
CLOSED_BY = {
    "stub": "cap on the open stub",
    "fixture": "plug or blank at the fixture's connection",
    "roof_outlet": "plug in the roof outlet",
    "gully": "plug in the gully",
    "air_admittance_valve": "cap in place of the air admittance valve",
    "vent_terminal": "cap or plug at the vent terminal",
    "outfall": "plug at the outfall",
    "mains_connection": "blank at the mains connection",
    "hose_valve": "hose valve shut and capped",
    "fire_inlet": "cap at the fire inlet",
    "sprinkler_branch": "blank at the sprinkler branch",
    "expansion_vessel": "blank in place of the expansion vessel",
    "drain_cock": "drain cock shut and capped",
    "air_vent": "automatic air vent shut off once the air is out",
}
# Ends that point up and can carry a temporary standpipe.
CARRIES_STANDPIPE = ("stub", "vent_terminal", "roof_outlet")
ALREADY_SHUT = ("hose_valve", "drain_cock", "air_vent")


@dataclass(frozen=True, slots=True)
class Opening:
    """An end that must be closed where the water stands above it; `point` in the network."""

    id: str
    kind: str
    closed_by: str
    point: int
    level_m: float

    @property
    def lets_water_in(self) -> bool:
        """Whether water can be let in here, or seen to stand here."""
        return (
            self.kind in CLOSED_BY and self.kind not in ALREADY_SHUT and not self.closed_by.startswith("both")
        )


@dataclass(frozen=True, slots=True)
class Cut:
    """A place where a section can end: `point` on the upper side, `other` on the lower side."""

    id: str
    kind: str
    shut_by: str
    node: int
    point: int
    other: int
    level_m: float


def graph_ends(model: Model, chosen: Ints) -> tuple[Ints, Ints, list[Cut], list[Opening]]:
    """The ends u and v of these edges with every cut made, the cuts, and the devices blanked off.

    An edge with u = v was taken away: it is the pass of a valve that is shut or of a device taken out.
    """
    u, v = model.edges.u[chosen].copy(), model.edges.v[chosen].copy()
    cuts, blanks = _passes(model, chosen, u, v)
    return u, v, cuts + _plugs(model, chosen, u, v), blanks


def _passes(model: Model, chosen: Ints, u: Ints, v: Ints) -> tuple[list[Cut], list[Opening]]:
    placed, edges = model.placed, model.edges
    may_bound = placed.types.nodes["may_bound_test"].astype(str).isin(["yes", "True", "true"]).to_numpy(bool)
    cuts: list[Cut] = []
    blanks: list[Opening] = []
    for at in np.flatnonzero(edges.kind[chosen] == EdgeKind.PASS).tolist():
        node = int(placed.point_node[u[at]])
        kind, name = NODE_KINDS[int(model.node_kind[node])], placed.node_id(node)
        level = float(placed.node_xyz_m[node, 2])
        a, b = int(u[at]), int(v[at])
        if kind in TAKEN_OUT:
            words = f"both sides of the {kind.replace('_', ' ')} blanked, or it is taken out"
            blanks += [Opening(name, kind, words, point, level) for point in (a, b)]
        elif may_bound[placed.node_type[node]]:
            cuts.append(Cut(name, kind, "valve shut, and blanked where it may pass", node, a, b, level))
        else:
            continue
        v[at] = u[at]
    return cuts, blanks


def _plugs(model: Model, chosen: Ints, u: Ints, v: Ints) -> list[Cut]:
    """Cuts at test tees and cleanouts of drains: what leads on downwards is tied to a point of its own."""
    placed, edges = model.placed, model.edges
    drains = np.array([int(s) for s in DRAINS | AIR])
    here = np.isin(edges.system_u[chosen], drains) & (u != v)
    nodes = model.nodes_of_kind(*PLUG_PLACES)
    points = placed.point0[nodes]
    used = np.isin(points, np.concatenate([u[here], v[here]]))
    if not used.any():
        return []
    onward = drain_ways(model).next_point
    spare = len(placed.point_node)
    cuts = []
    for node, point in zip(nodes[used].tolist(), points[used].tolist(), strict=True):
        at_u, at_v = np.flatnonzero(here & (u == point)), np.flatnonzero(here & (v == point))
        ends = np.concatenate([v[at_u], u[at_v]])
        below = _leads_down(model, ends, point, int(onward[point]))
        if not below.any() or below.all():
            continue
        u[at_u[below[: len(at_u)]]] = spare
        v[at_v[below[len(at_u) :]]] = spare
        kind = NODE_KINDS[int(model.node_kind[node])]
        words = f"plug through the {kind.replace('_', ' ')}"
        level = float(placed.node_xyz_m[node, 2])
        cuts.append(Cut(placed.node_id(node), kind, words, node, int(point), spare, level))
        spare += 1
    return cuts


def _leads_down(model: Model, ends: Ints, point: int, onward: int) -> Flags:
    """Which neighbours lie on the lower side: the next one on the way home, else the lowest below."""
    if onward >= 0 and (ends == onward).any():
        flags: Flags = ends == onward
        return flags
    placed = model.placed
    known = ends < len(placed.point_node)
    level = np.full(len(ends), np.inf)
    level[known] = placed.node_xyz_m[placed.point_node[ends[known]], 2]
    lowest: Flags = (level == level.min()) & (level < placed.node_xyz_m[placed.point_node[point], 2])
    return lowest


def openings(model: Model, u: Ints, v: Ints) -> list[Opening]:
    """The open ends among the points of these edges; a stub is open where no edge leads on from it."""
    placed = model.placed
    degree = np.bincount(np.concatenate([u[u != v], v[u != v]]), minlength=len(placed.point_node))
    degree = degree[: len(placed.point_node)]
    node = placed.point_node
    kinds = np.array([name in CLOSED_BY for name in NODE_KINDS])[model.node_kind[node]]
    is_stub = np.array([name == "stub" for name in NODE_KINDS])[model.node_kind[node]]
    joints = model.joints
    closed_stub = np.zeros(len(placed.node_part), bool)
    closed = joints.stub_a[(joints.stub_b < 0) & (joints.stub_a >= 0) & _has_cap(model)]
    closed_stub[closed] = True
    open_ends = kinds & (degree > 0) & ~(is_stub & ((degree > 1) | closed_stub[node]))
    return [
        Opening(
            placed.node_id(int(node[point])),
            kind := NODE_KINDS[int(model.node_kind[node[point]])],
            CLOSED_BY[kind],
            int(point),
            float(placed.node_xyz_m[node[point], 2]),
        )
        for point in np.flatnonzero(open_ends).tolist()
    ]


def _has_cap(model: Model) -> Flags:
    """Per joint, whether it is a closed end: one stub and a cap."""
    flags: Flags = model.joints.state == JointState.CLOSED
    return flags
