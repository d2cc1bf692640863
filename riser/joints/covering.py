# SPDX-License-Identifier: Apache-2.0
"""Findings J15 to J18: access, slabs, sleeves, and stubs that wait."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.spatial import cKDTree

from riser.audit.finding import CANNOT_JUDGE, Finding, Severity
from riser.joints import kinds
from riser.joints.reporting import both_stand, joint_finding, millimetres, stub_finding
from riser.network.joints import JointState
from riser.network.model import STEEP, Model
from riser.network.straights import straights
from riser.network.types import Flags, Floats, Ints


def _live(model: Model) -> Flags:
    """Connections of joints that are joined by parts that count."""
    joints = model.joints
    joined = (joints.state == JointState.JOINED) & both_stand(model)
    flags: Flags = joined[joints.connections.joint]
    return flags


def _hidden_points(model: Model) -> Flags:
    """Points at which a hidden run ends."""
    placed = model.placed
    hidden = placed.types.run_hidden[placed.run_type]
    flags = np.zeros(len(placed.point_node), bool)
    flags[placed.run_from_point[hidden]] = True
    flags[placed.run_to_point[hidden]] = True
    return flags


def _coupling_says(model: Model, column: str) -> Flags:
    """A yes/no column of couplings.csv per connection; no where there is no row."""
    frame, coupling = model.placed.tables.couplings, model.joints.connections.coupling
    if not len(frame):
        return np.zeros(len(coupling), bool)
    yes = frame[column].astype(str).str.lower().isin(["yes", "true", "1"]).to_numpy(bool)
    return np.where(coupling >= 0, yes[np.maximum(coupling, 0)], False)


def _served(model: Model, wanted: Ints) -> Flags:
    """Whether a panel lists the joint or its box holds the connection."""
    joints, panels = model.joints, model.placed.tables.access
    connections = joints.connections
    listed = {name for text in panels["serves"].tolist() for name in str(text).replace(";", " ").split()}
    number = connections.joint[wanted]
    served = np.array(
        [
            str(joints.id[n]) in listed or str(connections.id[c]) in listed
            for n, c in zip(number.tolist(), wanted.tolist(), strict=True)
        ],
        dtype=bool,
    )
    open_ = np.flatnonzero(~served)
    if len(open_) and len(panels):
        served[open_] = _inside_boxes(model, connections.xyz_m[wanted[open_]], number[open_])
    return served


def _inside_boxes(model: Model, xyz_m: Floats, joint: Ints) -> Flags:
    """Whether each point lies in the box of a panel of its building."""
    panels = model.placed.tables.access
    low = panels[["x_min_m", "y_min_m", "z_min_m"]].to_numpy(float)
    high = panels[["x_max_m", "y_max_m", "z_max_m"]].to_numpy(float)
    reach = np.linalg.norm(high - low, axis=1) / 2 + 1e-9
    building = model.placed.floors.building[model.joints.works_on[joint]]
    inside = np.zeros(len(xyz_m), bool)
    tree = cKDTree(xyz_m)
    for n, near in enumerate(tree.query_ball_point((low + high) / 2, reach)):
        points = np.array(near, dtype=int)
        if len(points):
            held = ((xyz_m[points] >= low[n] - 1e-9) & (xyz_m[points] <= high[n] + 1e-9)).all(axis=1)
            inside[points[held & (building[points] == panels["building"].iat[n])]] = True
    return inside


def no_access(model: Model) -> list[Finding]:
    """J15: hidden connections that need access and have no panel."""
    joints, placed = model.joints, model.placed
    connections = joints.connections
    hidden = _hidden_points(model)
    number = connections.joint
    behind = np.ones(len(number), bool)
    for stub in (joints.stub_a, joints.stub_b):
        behind &= (stub[number] < 0) | hidden[placed.point0[np.maximum(stub[number], 0)]]
    wanted = np.flatnonzero(_live(model) & behind & _coupling_says(model, "needs_access"))
    if not len(wanted):
        return []
    if "access.csv" in placed.tables.absent:
        says = f"access.csv is not given: {len(wanted)} hidden connections that need access cannot be judged."
        return [_absent(says)]
    lost = wanted[~_served(model, wanted)]
    return [_no_access(model, c) for c in lost.tolist()]


def _no_access(model: Model, c: int) -> Finding:
    connections, joint = model.joints.connections, int(model.joints.connections.joint[c])
    says = (
        f"{connections.id[c]} at level {connections.xyz_m[c, 2]:+.3f} m is hidden and needs access; no panel"
        " lists it or reaches it."
    )
    name = str(connections.id[c])
    because = _doubled_stub(model, joint)
    return joint_finding(model, kinds.NO_ACCESS, joint, says, items=(name,), because=because)


def _doubled_stub(model: Model, joint: int) -> str | None:
    """The key of the finding that a stub of this joint stands in another row too: the row may have to go."""
    joints = model.joints
    for stub in (int(joints.stub_a[joint]), int(joints.stub_b[joint])):
        rows = joints.scheduled & ((joints.stub_a == stub) | (joints.stub_b == stub))
        if stub >= 0 and np.count_nonzero(rows) > 1:
            return f"{kinds.TWO_JOINTS.code}:{model.placed.node_id(stub)}"
    return None


def _absent(says: str) -> Finding:
    return Finding(
        code=CANNOT_JUDGE.code,
        name=CANNOT_JUDGE.name,
        severity=Severity.NOTE,
        items=("access.csv",),
        floor="",
        building="",
        system="",
        where="the job folder",
        says=says,
        remedy="Give access.csv.",
        basis=CANNOT_JUDGE.basis,
    )


def _in_slab(model: Model, low_m: Floats, high_m: Floats, joint: Ints) -> Ints:
    """The floor whose slab each connection reaches into, -1 for none."""
    floors = model.placed.floors
    top, thickness = floors.slab_top_m, np.nan_to_num(floors.slab_thickness_m)
    # A joint between two buildings (podium and tower) may lie in a slab of either.
    below = floors.building[model.joints.works_on[joint]]
    above = floors.building[model.joints.tests_with[joint]]
    result = np.full(len(joint), -1, int)
    for floor in np.flatnonzero(thickness > 0).tolist():
        inside = (high_m > top[floor] - thickness[floor] + 1e-6) & (low_m < top[floor] - 1e-6)
        own = floors.building[floor]
        result[inside & ((below == own) | (above == own))] = floor
    return result


def in_sleeve(model: Model) -> list[Finding]:
    """J16: connections whose body reaches into a slab."""
    connections = model.joints.connections
    frame = model.placed.tables.couplings
    insertion = np.zeros(len(connections.id))
    if len(frame):
        depth = np.nan_to_num(frame["insertion_m"].to_numpy(float))
        insertion = np.where(connections.coupling >= 0, depth[np.maximum(connections.coupling, 0)], 0.0)
    z = connections.xyz_m[:, 2]
    floor = _in_slab(model, z - insertion, z + insertion, connections.joint)
    inside = np.flatnonzero((floor >= 0) & _live(model))
    return [_in_sleeve(model, c, int(floor[c])) for c in inside.tolist()]


def _in_sleeve(model: Model, c: int, floor: int) -> Finding:
    connections, floors = model.joints.connections, model.placed.floors
    top = float(floors.slab_top_m[floor])
    low = top - float(floors.slab_thickness_m[floor])
    says = (
        f"{connections.id[c]} at level {connections.xyz_m[c, 2]:+.3f} m lies in the slab of floor"
        f" {floors.label(floor)} ({low:+.3f} to {top:+.3f} m)."
    )
    name, joint = str(connections.id[c]), int(connections.joint[c])
    # Where nobody scheduled the joint, its connection is only taken to lie half way.
    because = (
        None if model.joints.scheduled[joint] else f"{kinds.NOT_SCHEDULED.code}:{model.joints.id[joint]}"
    )
    return joint_finding(model, kinds.IN_SLEEVE, joint, says, items=(name,), because=because)


def _upright_lines(model: Model) -> tuple[Floats, Floats, Floats, Floats, Ints]:
    """Vertical pipework as lines: plan position, lower and upper level, outside diameter, a node near it.

    Of pipes with corners every upright straight counts, for a main may come up through a slab at its end.
    """
    placed, joints = model.placed, model.joints
    od = placed.tables.pipes.drop_duplicates("pipe")["od_m"].to_numpy(float)
    insulation = np.nan_to_num(placed.types.runs["insulation_m"].to_numpy(float))
    runs = np.flatnonzero(model.standing[placed.run_part] & (model.run_pipe >= 0)).astype(np.int32)
    run, start_m, end_m = straights(placed, runs)
    step = np.abs(end_m - start_m)
    upright = step[:, 2] >= STEEP * np.maximum(np.linalg.norm(step, axis=1), 1e-9)
    run, start_m, end_m = run[upright], start_m[upright], end_m[upright]
    stands = np.flatnonzero((joints.state == JointState.JOINED) & both_stand(model))
    made = stands[np.abs(placed.facing(joints.stub_a[stands])[:, 2]) > 0.9]
    a, b = joints.stub_a[made], joints.stub_b[made]
    low = np.concatenate([start_m, placed.node_xyz_m[a]])
    high = np.concatenate([end_m, placed.node_xyz_m[b]])
    size = np.concatenate(
        [od[model.run_pipe[run]] + 2 * insulation[placed.run_type[run]], od[model.node_pipe[a]]]
    )
    z = np.stack([low[:, 2], high[:, 2]])
    node = np.concatenate([placed.point_node[placed.run_from_point[run]], a])
    return low[:, :2], z.min(axis=0), z.max(axis=0), size, node


def annuli(model: Model) -> list[Finding]:
    """J18: space between pipe and sleeve outside the range of the sleeve's detail."""
    sleeves = model.placed.tables.sleeves
    if not len(sleeves):
        return []
    plan, low, high, size, node = _upright_lines(model)
    if not len(plan):
        return []
    tree = cKDTree(plan)
    centre, bore = sleeves[["x_m", "y_m"]].to_numpy(float), sleeves["bore_m"].to_numpy(float)
    top, length = sleeves["top_m"].to_numpy(float), np.nan_to_num(sleeves["length_m"].to_numpy(float))
    found = []
    for n, near in enumerate(tree.query_ball_point(centre, bore / 2)):
        through = [k for k in near if low[k] < top[n] - length[n] / 2 < high[k]]
        for k in through[:1]:
            away = float(np.linalg.norm(plan[k] - centre[n]))
            finding = _annulus(model, n, float(bore[n]), float(size[k]), away, int(node[k]))
            found += [finding] if finding else []
    return found


def _annulus(model: Model, sleeve: int, bore: float, size: float, away: float, node: int) -> Finding | None:
    row = model.placed.tables.sleeves.iloc[sleeve]
    least, most = (bore - size) / 2 - away, (bore - size) / 2 + away
    low, high = float(row["annulus_min_m"]), float(row["annulus_max_m"])
    if not (least < low - 1e-6 or most > high + 1e-6):
        return None
    says = (
        f"Sleeve {row['sleeve']}: pipe {millimetres(size)} outside, {millimetres(away)} off centre, leaves"
        f" {millimetres(least)} to {millimetres(most)}; detail {row['detail']} is tested for"
        f" {millimetres(low)} to {millimetres(high)}."
    )
    finding = stub_finding(model, kinds.ANNULUS, node, says)
    return replace(
        finding,
        items=(str(row["sleeve"]),),
        floor=str(row["floor"]),
        building=str(row["building"]),
        where=f"floor {row['floor']}, sleeve {row['sleeve']}",
    )


def waiting(model: Model) -> list[Finding]:
    """J17, site check: stubs of placed parts that face a part not yet placed, with no cap recorded."""
    if not model.site:
        return []
    joints = model.joints
    capped = set() if model.capped is None else set(model.capped.tolist())
    found = []
    for near, far in ((joints.stub_a, joints.stub_b), (joints.stub_b, joints.stub_a)):
        stands = (near >= 0) & model.node_standing[np.maximum(near, 0)]
        waits = stands & (far >= 0) & ~model.node_standing[np.maximum(far, 0)]
        uncapped = [n for n in np.flatnonzero(waits).tolist() if int(near[n]) not in capped]
        found += [_waiting(model, n, int(near[n]), int(far[n])) for n in uncapped]
    return found


def _waiting(model: Model, joint: int, near: int, far: int) -> Finding:
    part = model.placed.part_name[model.placed.node_part[far]]
    says = (
        f"{model.placed.node_id(near)} waits for {part} (joint {model.joints.id[joint]}) and has no"
        " temporary cap recorded."
    )
    return stub_finding(model, kinds.WAITING, near, says)
