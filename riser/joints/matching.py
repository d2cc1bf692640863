# SPDX-License-Identifier: Apache-2.0
"""Findings J01 to J08: which stubs belong together, and where the witnesses disagree.

The three witnesses are the schedule (joints.csv), the geometry (who faces whom) and what the network needs
(would a piece be cut off without this joint). Where they disagree, one finding names all three.
"""

from __future__ import annotations

from collections import Counter

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import connected_components

from riser.audit.finding import Finding
from riser.joints import kinds
from riser.joints.reporting import both_stand, joint_finding, millimetres, stub_finding
from riser.joints.schedule import match_axial_m, match_lateral_m
from riser.network.joints import JointState
from riser.network.kinds import KIND_CODE
from riser.network.model import EdgeKind, Model
from riser.network.systems import MAY_MEET, System
from riser.network.types import Ints


def _pieces_without_unscheduled(model: Model) -> Ints:
    """The connected piece of each point when only scheduled joints are made."""
    edges, count = model.edges, len(model.placed.point_node)
    is_joint = edges.kind == EdgeKind.JOINT
    keep = ~is_joint | model.joints.scheduled[np.where(is_joint, edges.ref, 0)]
    u, v = edges.u[keep], edges.v[keep]
    graph = csr_array((np.ones(len(u), np.int8), (u, v)), shape=(count, count))
    return connected_components(graph, directed=False)[1].astype(np.int32)


def not_scheduled(model: Model) -> list[Finding]:
    """J01: pairs found by geometry alone. A job without joints.csv has no schedule to be missing from."""
    joints = model.joints
    if "joints.csv" in model.placed.tables.absent:
        return []
    found = np.flatnonzero(~joints.scheduled & both_stand(model))
    if not len(found):
        return []
    piece = _pieces_without_unscheduled(model)
    fixtures = piece[model.placed.point0[model.nodes_of_kind("fixture")]]
    return [_not_scheduled(model, n, piece, fixtures) for n in found.tolist()]


def _not_scheduled(model: Model, joint: int, piece: Ints, fixtures: Ints) -> Finding:
    joints, placed = model.joints, model.placed
    a, b = int(joints.stub_a[joint]), int(joints.stub_b[joint])
    side_a, side_b = int(piece[placed.point0[a]]), int(piece[placed.point0[b]])
    if side_a == side_b:
        need = "the network does not need it, both sides already hang together"
    else:
        cut = min(np.count_nonzero(fixtures == side) for side in (side_a, side_b))
        need = f"the network needs it, without it two pieces stay apart ({cut} fixtures on the smaller)"
    says = (
        f"{placed.node_id(a)} and {placed.node_id(b)} face each other"
        f" ({millimetres(float(joints.axial_m[joint]))} apart, {millimetres(float(joints.lateral_m[joint]))}"
        f" across), joints.csv does not mention them, and {need}."
    )
    return joint_finding(model, kinds.NOT_SCHEDULED, joint, says)


def no_stub(model: Model) -> list[Finding]:
    """J02: schedule rows that name a stub which is not there."""
    return [_no_stub(model, n) for n in _in_state(model, JointState.NO_STUB)]


def _in_state(model: Model, state: JointState) -> list[int]:
    return [
        n for n in model.joints.broken.tolist() if model.joints.state[n] == state and both_stand(model)[n]
    ]


def _no_stub(model: Model, joint: int) -> Finding:
    joints, placed = model.joints, model.placed
    stubs = [
        (str(text), int(stub))
        for text, stub in (
            (joints.text_a[joint], joints.stub_a[joint]),
            (joints.text_b[joint], joints.stub_b[joint]),
        )
    ]
    missing = [text for text, stub in stubs if stub < 0 and text]
    there = [stub for _, stub in stubs if stub >= 0]
    says = f"Joint {joints.id[joint]} is scheduled with {' and '.join(missing)}, which is no stub"
    if there:
        partner = int(joints.partner[there[0]])
        says += f"; {placed.node_id(there[0])} waits for it, and geometry finds "
        says += f"{placed.node_id(partner)} in its place." if partner >= 0 else "nobody in its place."
    else:
        says += "."
    return joint_finding(model, kinds.NO_STUB, joint, says)


def apart(model: Model) -> list[Finding]:
    """J03: scheduled joints whose stubs are out of each other's reach."""
    return [_apart(model, n) for n in _in_state(model, JointState.APART)]


def _partner_words(model: Model, joint: int) -> str:
    """What geometry says instead of the schedule."""
    joints, placed = model.joints, model.placed
    stub = int(joints.stub_a[joint])
    partner = int(joints.partner[stub])
    if partner >= 0:
        return f"geometry pairs {placed.node_id(stub)} with {placed.node_id(partner)}"
    return f"geometry finds no partner for {placed.node_id(stub)}"


def _apart(model: Model, joint: int) -> Finding:
    joints = model.joints
    says = (
        f"Joint {joints.id[joint]}: {joints.text_a[joint]} and {joints.text_b[joint]} are"
        f" {millimetres(float(joints.axial_m[joint]))} apart along the pipe and"
        f" {millimetres(float(joints.lateral_m[joint]))} across; a joint of this job reaches"
        f" {millimetres(match_axial_m(model.placed))} along and {millimetres(match_lateral_m(model.placed))}"
        f" across; {_partner_words(model, joint)}."
    )
    return joint_finding(model, kinds.APART, joint, says)


def not_facing(model: Model) -> list[Finding]:
    """J04: scheduled joints whose stubs look past each other."""
    return [_not_facing(model, n) for n in _in_state(model, JointState.NOT_FACING)]


def _not_facing(model: Model, joint: int) -> Finding:
    joints = model.joints
    turned = float(np.rad2deg(joints.angle_rad[joint]))
    says = (
        f"Joint {joints.id[joint]}: {joints.text_b[joint]} is turned {turned:.0f} degrees away from facing"
        f" {joints.text_a[joint]}; {_partner_words(model, joint)}."
    )
    return joint_finding(model, kinds.NOT_FACING, joint, says)


def _used_stubs(model: Model) -> Ints:
    """Stubs that some joint row or found pair uses."""
    stubs = np.concatenate([model.joints.stub_a, model.joints.stub_b])
    used: Ints = stubs[stubs >= 0]
    return used


def ties(model: Model) -> list[Finding]:
    """J05: unscheduled stubs that cannot choose between two partners, each group once."""
    joints, placed = model.joints, model.placed
    free = np.ones(len(joints.rival), bool)
    free[_used_stubs(model)] = False
    undecided = np.flatnonzero((joints.rival >= 0) & free & model.node_standing)
    found = []
    for node in undecided.tolist():
        rival = int(joints.rival[node])
        gap = float(np.linalg.norm(placed.node_xyz_m[rival] - placed.node_xyz_m[node]))
        says = (
            f"{placed.node_id(node)} faces {placed.node_id(rival)} and another stub equally well"
            f" ({millimetres(gap)} away); the schedule says nothing, so none is taken."
        )
        found.append(stub_finding(model, kinds.TIE, node, says))
    return found


def open_ends(model: Model) -> list[Finding]:
    """J06: stubs that nobody joins or closes. On site, stubs that wait for a part are J17's."""
    placed, joints = model.placed, model.joints
    if model.site:
        return []
    free = np.ones(len(joints.partner), bool)
    free[_used_stubs(model)] = False
    stubs = placed.stubs
    return [_open_end(model, n) for n in stubs[free[stubs] & model.node_standing[stubs]].tolist()]


def _open_end(model: Model, node: int) -> Finding:
    placed, joints = model.placed, model.joints
    says = f"{placed.node_id(node)} ({System(int(model.node_system[node])).label}) has no partner and no cap."
    return stub_finding(
        model, kinds.OPEN_END, node, says, because=_open_end_cause(model, node, joints.partner)
    )


def _open_end_cause(model: Model, node: int, partner: Ints) -> str | None:
    """An end is open because its partner is tied up in a wrong joint, or because of a tie."""
    joints = model.joints
    if joints.rival[node] >= 0:
        return f"{kinds.TIE.code}:{model.placed.node_id(node)}"
    if partner[node] >= 0:
        users = np.flatnonzero((joints.stub_a == partner[node]) | (joints.stub_b == partner[node]))
        for user in users.tolist():
            if (key := joints.fault_key(user)) is not None:
                return key
    return None


def two_joints(model: Model) -> list[Finding]:
    """J07: stubs in more than one schedule row."""
    joints = model.joints
    rows = joints.scheduled
    used = np.concatenate([joints.stub_a[rows], joints.stub_b[rows]])
    count = Counter(used[used >= 0].tolist())
    twice = [stub for stub, times in count.items() if times > 1 and model.node_standing[stub]]
    names: dict[int, list[str]] = {stub: [] for stub in twice}
    if not names:
        return []
    for n in np.flatnonzero(rows).tolist():
        for stub in (int(joints.stub_a[n]), int(joints.stub_b[n])):
            if stub in names:
                names[stub].append(str(joints.id[n]))
    return [
        stub_finding(
            model, kinds.TWO_JOINTS, stub, f"{model.placed.node_id(stub)} stands in joints {', '.join(ids)}."
        )
        for stub, ids in names.items()
    ]


def wrong_system(model: Model) -> list[Finding]:
    """J08: joints that tie different systems, and nodes inside a part where systems meet that may not."""
    joints, system = model.joints, model.node_system
    joined = joints.joined
    a, b = system[joints.stub_a[joined]], system[joints.stub_b[joined]]
    found = [
        joint_finding(model, kinds.WRONG_SYSTEM, n, _wrong_words(model, n))
        for n in joined[(a != b) & both_stand(model)[joined]].tolist()
    ]
    return found + _wrong_nodes(model)


def _wrong_words(model: Model, joint: int) -> str:
    joints = model.joints
    a, b = (System(int(model.node_system[s[joint]])).label for s in (joints.stub_a, joints.stub_b))
    partner = _partner_words(model, joint)
    ends = f"{joints.text_a[joint]} ({a}) to {joints.text_b[joint]} ({b})"
    return f"Joint {joints.id[joint]} ties {ends}; {partner}."


def _wrong_nodes(model: Model) -> list[Finding]:
    """Points inside a part where systems meet that may not."""
    bits = model.stub_point_systems
    values = np.unique(bits)
    bad = [int(v) for v in values if not _may_all_meet(int(v))]
    if not bad:
        return []
    protective = np.isin(model.node_kind, [KIND_CODE["tank"], KIND_CODE["heater"]])
    points = np.flatnonzero(np.isin(bits, bad) & ~protective[model.placed.point_node])
    return [_wrong_node(model, p, int(bits[p])) for p in points.tolist()]


def _systems_in(bits: int) -> list[System]:
    return [s for s in System if bits >> int(s) & 1]


def _may_all_meet(bits: int) -> bool:
    present = [int(s) for s in _systems_in(bits)]
    return bool(MAY_MEET[np.ix_(present, present)].all())


def _wrong_node(model: Model, point: int, bits: int) -> Finding:
    node = int(model.placed.point_node[point])
    words = " and ".join(s.label for s in _systems_in(bits))
    says = f"At {model.placed.node_id(node)} {words} meet inside one part."
    return stub_finding(model, kinds.WRONG_SYSTEM, node, says)
