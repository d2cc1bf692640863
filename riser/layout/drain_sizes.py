# SPDX-License-Identifier: Apache-2.0
"""Whether drains keep or widen their size in the direction of flow, joints included (D03)."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.catalogue import Pipe, bores_m
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.layout.nominal_sizes import is_smaller
from riser.network.kinds import KIND_CODE
from riser.network.model import EdgeKind, Model
from riser.network.types import Flags, Ints
from riser.network.views import edge_id
from riser.network.where import joint_place, run_place

NARROWS = FindingKind(
    "D03",
    "drain narrows downstream",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A drain runs on into a smaller pipe: what came through the larger one sticks there.",
    "Keep the size, or widen what follows.",
)
KINDS = (NARROWS,)


def findings(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D03, one finding for each pipe or joint that is smaller than what runs into it."""
    smaller = smaller_pipes(judging.pipes)
    before, after = _successions(drainage)
    inlet, outlet = _end_pipes(drainage)
    narrow = np.zeros(len(before), bool)
    known = (outlet[before] >= 0) & (inlet[after] >= 0)
    narrow[known] = smaller[inlet[after[known]], outlet[before[known]]]
    # One finding for a pipe, whatever number of larger ones run into it: beside the largest, the first by id.
    bores, beside = bores_m(judging.pipes), dict[int, tuple[float, str, int]]()
    for e, f in zip(before[narrow].tolist(), after[narrow].tolist(), strict=True):
        largest = (-float(bores[outlet[e]]), edge_id(drainage.model, int(drainage.net.edge[e])), e)
        beside[f] = min(largest, beside.get(f, largest))
    found = [_step(drainage, judging, e, f, int(outlet[e]), int(inlet[f])) for f, (_, _, e) in beside.items()]
    return found + _inside_joints(drainage, judging, smaller)


def smaller_pipes(pipes: list[Pipe]) -> Flags:
    """For every pair of catalogue pipes whether the first is smaller than the second."""
    flags: Flags = np.array([[is_smaller(a.size, a.bore_m, b.size, b.bore_m) for b in pipes] for a in pipes])
    return flags


def _judged(drainage: Drainage) -> Flags:
    """Edges that carry water in a known direction, under gravity."""
    start = drainage.tree.edge_from
    flags: Flags = (start >= 0) & drainage.carries[start] & ~drainage.on_ring & ~drainage.pumped
    return flags


def _successions(drainage: Drainage) -> tuple[Ints, Ints]:
    """Pairs of runs or joints of which the second takes up what the first brings, traps looked through."""
    net, tree = drainage.net, drainage.tree
    judged = _judged(drainage)
    is_pass = net.kind == EdgeKind.PASS
    before = np.flatnonzero(judged & ~is_pass)
    end = np.where(tree.edge_from[before] == net.u[before], net.v[before], net.u[before])
    after = tree.via[end]
    lifts = is_pass.copy()
    node = drainage.model.placed.pass_node[net.ref[is_pass]]
    lifts[is_pass] = drainage.model.node_kind[node] == KIND_CODE["pump"]
    while True:
        through = np.flatnonzero(after >= 0)
        through = through[is_pass[after[through]] & ~lifts[after[through]]]
        if not len(through):
            break
        end[through] = tree.towards[end[through]]
        after[through] = tree.via[end[through]]
    keep = (after >= 0) & judged[after] & ~is_pass[after]
    return before[keep].astype(np.int32), after[keep].astype(np.int32)


def _end_pipes(drainage: Drainage) -> tuple[Ints, Ints]:
    """For each edge of the net the pipe where water enters it and where water leaves it; -1 for a pass."""
    model, net = drainage.model, drainage.net
    at_u = np.full(len(net.edge), -1, np.int32)
    at_v = at_u.copy()
    run, joint = net.kind == EdgeKind.RUN, net.kind == EdgeKind.JOINT
    at_u[run] = at_v[run] = model.run_pipe[net.ref[run]]
    at_u[joint] = model.node_pipe[model.joints.stub_a[net.ref[joint]]]
    at_v[joint] = model.node_pipe[model.joints.stub_b[net.ref[joint]]]
    along = drainage.tree.edge_from == net.u
    return np.where(along, at_u, at_v).astype(np.int32), np.where(along, at_v, at_u).astype(np.int32)


def _step(drainage: Drainage, judging: Judging, before: int, after: int, wide: int, narrow: int) -> Finding:
    model, net = drainage.model, drainage.net
    one, other = edge_id(model, int(net.edge[before])), edge_id(model, int(net.edge[after]))
    point = int(drainage.tree.edge_from[after])
    node = model.placed.node_id(int(model.placed.point_node[point]))
    says = (
        f"{one} in {judging.pipes[wide].name} runs on into {other} in {judging.pipes[narrow].name} "
        f"at {node}: the drain narrows downstream."
    )
    refs = {kind: [int(net.ref[e]) for e in (before, after) if net.kind[e] == kind] for kind in EdgeKind}
    in_run = net.kind[after] == EdgeKind.RUN
    place = run_place(model, int(net.ref[after])) if in_run else joint_place(model, int(net.ref[after]))
    return judging.finding(
        NARROWS,
        "drainage",
        place,
        (one, other),
        says,
        runs=refs[EdgeKind.RUN],
        joints=refs[EdgeKind.JOINT],
    )


def _inside_joints(drainage: Drainage, judging: Judging, smaller: Flags) -> list[Finding]:
    """Joints whose own pieces, from stub to stub, become smaller in the direction of flow."""
    model, net = drainage.model, drainage.net
    carrying = np.flatnonzero(_judged(drainage) & (net.kind == EdgeKind.JOINT))
    joint = net.ref[carrying]
    along = drainage.tree.edge_from[carrying] == net.u[carrying]
    found = []
    for n in np.flatnonzero(_of_several_pipes(model)[joint]).tolist():
        chain = _chain(model, int(joint[n]))
        chain = chain if along[n] else chain[::-1]
        step = next(((p, q) for p, q in pairwise(chain) if smaller[q, p]), None)
        if step is not None:
            found.append(_narrow_joint(judging, int(joint[n]), *step))
    return found


def _of_several_pipes(model: Model) -> Flags:
    """Joints in which not all is of one pipe: only there is anything to look at."""
    joints, pieces = model.joints, model.joints.pieces
    a, b = (model.node_pipe[np.maximum(stubs, 0)] for stubs in (joints.stub_a, joints.stub_b))
    flags: Flags = a != b
    made = np.flatnonzero(pieces.pipe >= 0)
    owner = pieces.joint[made]
    flags[owner[(pieces.pipe[made] != a[owner]) | (pieces.to_pipe[made] != a[owner])]] = True
    return flags


def _chain(model: Model, joint: int) -> list[int]:
    """The pipes of a joint from stub a to stub b."""
    joints, pieces = model.joints, model.joints.pieces
    chain = [int(model.node_pipe[joints.stub_a[joint]])]
    for row in np.flatnonzero((pieces.joint == joint) & (pieces.pipe >= 0)).tolist():
        chain += [int(pieces.pipe[row]), int(pieces.to_pipe[row])]
    chain.append(int(model.node_pipe[joints.stub_b[joint]]))
    return [pipe for pipe in chain if pipe >= 0]


def _narrow_joint(judging: Judging, joint: int, wide: int, narrow: int) -> Finding:
    name, pipes = str(judging.model.joints.id[joint]), judging.pipes
    says = (
        f"Joint {name} leads from {pipes[wide].name} to {pipes[narrow].name} in the direction of flow: "
        f"the drain narrows downstream."
    )
    place = joint_place(judging.model, joint)
    return judging.finding(NARROWS, "drainage", place, (name,), says, joints=(joint,))
