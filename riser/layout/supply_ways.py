# SPDX-License-Identifier: Apache-2.0
"""Where drinking water meets other water, and fixtures that no water reaches (S01, S02)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.cut_off import CutOff, Search, unconnected, waiting_pieces, without_way
from riser.layout.drainage import waiting_points
from riser.layout.fixtures import SUPPLY_PORTS
from riser.layout.judging import Judging
from riser.layout.supply import Supply
from riser.network import kinds
from riser.network.model import EdgeKind, Model
from riser.network.systems import POTABLE, WET, System, membership
from riser.network.types import Flags, Ints
from riser.network.where import joint_place, node_place
from riser.rules import Cell

TIED = FindingKind(
    "S01",
    "potable tied to non-potable",
    Severity.ERROR,
    COMMON_PRACTICE,
    "Drinking water and other water meet in a pipe, in a joint, or through a device that does not part them.",
    "Part them by an air gap or a backflow preventer fit for the hazard.",
)
NO_SOURCE = FindingKind(
    "S02",
    "fixture without a way to a source",
    Severity.ERROR,
    COMMON_PRACTICE,
    "From a supply connection of a fixture no pipe leads back to a main, a tank or another source.",
    "Draw or join the missing pipe.",
)
KINDS = (TIED, NO_SOURCE)

PROTECTS = np.array([kinds.KINDS[name].protects for name in kinds.NODE_KINDS])
OTHER = WET - POTABLE


def _mask(systems: frozenset[System]) -> int:
    return sum(1 << int(system) for system in systems)


def tied_waters(model: Model, judging: Judging) -> list[Finding]:
    """S01, one for each place where drinking water meets other water."""
    points, passes, joints = _meetings(model), _open_passes(model), _mixed_joints(model)
    if not len(points) + len(passes) + len(joints):
        return []
    cell = judging.demand("supply", "potable_protected", "whether drinking water is kept apart")
    if cell is None:
        return []
    return [
        *(_tied_in_a_point(model, judging, point, cell) for point in points.tolist()),
        *(_tied_by_device(model, judging, number, cell) for number in passes.tolist()),
        *(_tied_by_joint(model, judging, joint, cell) for joint in joints.tolist()),
    ]


def _tied_in_a_point(model: Model, judging: Judging, point: int, cell: Cell) -> Finding:
    node = int(model.placed.point_node[point])
    name = model.placed.node_id(node)
    bits = int(model.stub_point_systems[point])
    says = f"At {name} {_systems(bits)} meet in one pipe."
    place = node_place(model, node, _first_potable(bits))
    return judging.finding(TIED, "supply", place, (name,), says, cell=cell, nodes=(node,))


def _tied_by_device(model: Model, judging: Judging, number: int, cell: Cell) -> Finding:
    placed = model.placed
    node = int(placed.pass_node[number])
    name, code = placed.node_id(node), int(model.node_kind[node])
    ends = (int(placed.pass_from[number]), int(placed.pass_to[number]))
    bits = [int(model.stub_point_systems[point]) for point in ends]
    before, after = (_systems(b) for b in bits)
    against = ": it protects the other way round" if PROTECTS[code] else ""
    kind = kinds.NODE_KINDS[code].replace("_", " ")
    says = f"The {kind} {name} leads from {before} to {after} and does not part them{against}."
    place = node_place(model, node, _first_potable(bits[0] | bits[1]))
    return judging.finding(TIED, "supply", place, (name,), says, cell=cell, nodes=(node,))


def _tied_by_joint(model: Model, judging: Judging, joint: int, cell: Cell) -> Finding:
    joints = model.joints
    words = [
        f"{_systems(1 << int(model.node_system[stub]))} ({model.placed.node_id(int(stub))})"
        for stub in (joints.stub_a[joint], joints.stub_b[joint])
    ]
    name = str(joints.id[joint])
    return judging.finding(
        TIED,
        "supply",
        joint_place(model, joint),
        (name,),
        f"Joint {name} ties {words[0]} to {words[1]}.",
        remedy="Join each stub to its own system; this goes with it.",
        cell=cell,
        because=f"J08:{name}",
        joints=(joint,),
    )


def _systems(bits: int) -> str:
    """The systems of a set of bits in words."""
    return " and ".join(system.label.replace("_", "-") for system in System if bits >> int(system) & 1)


def _first_potable(bits: int) -> int:
    """The first of the drinking-water systems in a set of bits."""
    return next(int(system) for system in System if system in POTABLE and bits >> int(system) & 1)


def _potable(bits: Ints) -> Flags:
    flags: Flags = (bits & _mask(POTABLE)) != 0
    return flags


def _other(bits: Ints) -> Flags:
    flags: Flags = (bits & _mask(OTHER)) != 0
    return flags


def _meetings(model: Model) -> Ints:
    """Points where both waters meet; the inlets of a tank and the like are parted from each other."""
    bits = model.stub_point_systems
    kind = model.node_kind[model.placed.point_node]
    standing = model.node_standing[model.placed.point_node]
    return np.flatnonzero(_potable(bits) & _other(bits) & ~PROTECTS[kind] & standing).astype(np.int32)


def _open_passes(model: Model) -> Ints:
    """Passes from one water to the other through something that does not part them, or stands backwards.

    What protects does so against its outlet: drinking water goes in, other water may stand beyond. Nothing
    makes drinking water of other water.
    """
    placed, bits = model.placed, model.stub_point_systems
    start, end = bits[placed.pass_from], bits[placed.pass_to]
    parts = PROTECTS[model.node_kind[placed.pass_node]]
    outward = _potable(start) & _other(end) & ~parts
    inward = _other(start) & _potable(end)
    # Where both meet in one point of the device, that point is told already.
    told = np.zeros(len(bits), bool)
    told[_meetings(model)] = True
    told = told[placed.pass_from] | told[placed.pass_to]
    standing = model.node_standing[placed.pass_node]
    return np.flatnonzero((outward | inward) & ~told & standing).astype(np.int32)


def _mixed_joints(model: Model) -> Ints:
    """Joints that tie a drinking-water stub to a stub of other water."""
    edges = model.edges
    potable, other = membership(POTABLE), membership(OTHER)
    u, v = edges.system_u, edges.system_v
    mixed = (potable[u] & other[v]) | (other[u] & potable[v])
    joints: Ints = edges.ref[(edges.kind == EdgeKind.JOINT) & mixed]
    return joints


def without_source(supply: Supply, judging: Judging) -> CutOff:
    """S02: every supply connection that is made must lead home, and each fixture must have those it needs."""
    model, fixtures, placed = supply.model, supply.fixtures, supply.model.placed
    label = supply.net.label
    search = Search(
        NO_SOURCE,
        "supply",
        "connection",
        "a source",
        supply.way,
        label,
        waiting_pieces(label, waiting_points(model)),
    )
    port = np.repeat(np.array(SUPPLY_PORTS, dtype=object), len(fixtures.node))
    point = np.concatenate([fixtures.point(name) for name in SUPPLY_PORTS])
    run = fixtures.run_at[point]
    joined = run >= 0
    point, run, port = point[joined], run[joined], port[joined]
    node = placed.point_node[point]

    def name(n: int) -> str:
        return f"{placed.node_id(int(node[n]))} {str(port[n]).replace('_', '-')}"

    cut = without_way(judging, search, point, run, name)
    return CutOff([*cut.findings, *_without_pipe(supply, judging, search)], cut.ends)


def _without_pipe(supply: Supply, judging: Judging, search: Search) -> list[Finding]:
    """Fixtures that need a supply and have no pipe for it."""
    fixtures = supply.fixtures
    lacks: dict[int, list[str]] = {}
    for need, flags in fixtures.lacking(frozenset(SUPPLY_PORTS)):
        for node in fixtures.node[flags].tolist():
            lacks.setdefault(node, []).append(" or ".join(sorted(need)).replace("_", "-"))
    return [
        unconnected(judging, search, node, services, System.HOT if services == ["hot"] else System.COLD)
        for node, services in lacks.items()
    ]
