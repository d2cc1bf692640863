# SPDX-License-Identifier: Apache-2.0
"""Whether drains fall enough in the direction in which they run (D01, D02).

Each straight between two corners is judged, from the drawing of its type: placing turns it but does not tilt
it. Straights steeper than 45 degrees need no least fall. What a pump lifts, and rings, have no fall to judge.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.errors import NotInRules
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.network.joints import PieceKind
from riser.network.model import EdgeKind
from riser.network.systems import FOUL, System
from riser.network.types import Floats, Ints
from riser.network.where import joint_place, run_place
from riser.rules import Cell, Table

TOO_FLAT = FindingKind(
    "D01",
    "fall too small",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A horizontal drain falls less than its size needs to carry solids along.",
    "Give it the fall it needs, or a size that needs less.",
)
BACKFALL = FindingKind(
    "D02",
    "backfall",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A drain rises in the direction in which it should run: water stands in it.",
    "Turn the fall round.",
)
KINDS = (TOO_FLAT, BACKFALL)

# Levels are drawn to the millimetre: a fall may be short by as much. Common practice, no source.
DRAWN_TO_M = 0.001
# Less than this is no rise: positions are kept to a tenth of a millimetre.
LEVEL_M = 0.0001
# A joint longer than this is a piece of drain with a fall of its own. Common practice, no source.
LONG_JOINT_M = 0.3

QUESTION = "the fall of drains"


@dataclass(frozen=True)
class Falls:
    """Straights of drain in the direction of flow: what they drop, how long they are in plan, what they need.

    `need` is NaN where nothing is needed or known. `owner` is whatever the straight belongs to.
    """

    owner: Ints
    drop_m: Floats
    plan_m: Floats
    need: Floats

    def short_m(self) -> Floats:
        """By how much each straight falls short [m]; not positive where it is steep enough."""
        steep = np.abs(self.drop_m) >= self.plan_m
        short = np.where(steep, 0.0, self.need * self.plan_m - self.drop_m - DRAWN_TO_M)
        return np.where(self.drop_m < -LEVEL_M, -self.drop_m, np.nan_to_num(short))


def findings(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D01 and D02, one finding for each run or joint, at its worst straight."""
    return [*_runs(drainage, judging), *_joints(drainage, judging)]


def _flow(drainage: Drainage) -> Ints:
    """For each edge of the drain net +1 where water runs from u to v, -1 back, 0 where it is not judged."""
    net, start = drainage.net, drainage.tree.edge_from
    flow = np.where(start == net.u, 1, np.where(start == net.v, -1, 0))
    flow[(start < 0) | drainage.on_ring | drainage.pumped | drainage.airs] = 0
    return flow.astype(np.int32)


def _runs(drainage: Drainage, judging: Judging) -> list[Finding]:
    model, net = drainage.model, drainage.net
    types = model.placed.types
    flow = _flow(drainage)
    judged = np.flatnonzero((net.kind == EdgeKind.RUN) & (flow != 0))
    run, flow = net.ref[judged], flow[judged]
    kind = model.placed.run_type[run]
    drawn = np.flatnonzero(np.isin(types.segment_run, np.unique(kind)))
    step = types.segment_start_m[drawn] - types.segment_end_m[drawn]
    plan = np.linalg.norm(step[:, :2], axis=1)
    owner = types.segment_run[drawn]
    sloping = np.unique(owner[np.abs(step[:, 2]) < plan])
    needs = _needs(judging, types.run_pipe, types.run_system, sloping)
    need = np.array([needs[k].number if needs.get(k) else np.nan for k in owner.tolist()])
    found: list[Finding] = []
    for sign in (1, -1):
        falls = Falls(owner, sign * step[:, 2], plan, need)
        worst = _worst(falls, len(types.run_pipe))
        for n in np.flatnonzero((flow == sign) & (worst[kind] >= 0)).tolist():
            straight = int(worst[kind[n]])
            found.append(_of_run(judging, int(run[n]), falls, straight, needs.get(int(kind[n])), sign))
    return found


def _worst(falls: Falls, count: int) -> Ints:
    """For each owner the place of its worst straight, -1 where all are in order; any rise is worst."""
    worst = np.full(count, -1, np.int32)
    short = falls.short_m()
    bad = np.flatnonzero(short > 0.0)
    order = bad[np.lexsort((short[bad], falls.drop_m[bad] < -LEVEL_M))]
    worst[falls.owner[order]] = order
    return worst


def _needs(judging: Judging, pipe: Ints, system: Ints, used: Ints) -> dict[int, Cell]:
    """The least fall of each of these types of run, one look-up for each pipe and system."""
    told: dict[tuple[int, int], Cell | None] = {}
    needs: dict[int, Cell] = {}
    for kind in used.tolist():
        key = (int(pipe[kind]), int(system[kind]))
        if key not in told:
            told[key] = least_fall(judging, *key)
        cell = told[key]
        if cell is not None:
            needs[kind] = cell
    return needs


def least_fall(judging: Judging, pipe: int, system: int) -> Cell | None:
    """The least fall of a horizontal drain; None, and noted, where the rule set does not say."""
    word = System(system).label
    if System(system) not in FOUL:
        return judging.limit("drainage", f"least_fall_{word}", f"the fall of {word} drains")
    table = judging.table("drainage", "least_fall", QUESTION)
    if table is None:
        return None
    row = judging.pipes[pipe]
    lacks, question = f"least_fall {row.name}", f"the fall of {row.name} drains"
    if row.size is None:
        judging.lack("drainage", lacks, question, "its size cannot be read")
        return None
    try:
        return _row_cell(table, row.size.in_metres(table.printed_units["to"]), word, row.material)
    except NotInRules as reason:
        judging.lack("drainage", lacks, question, str(reason))
        return None


def _row_cell(table: Table, size_m: float, system: str, material: str) -> Cell:
    """The fall for a size; a table may tell systems or materials apart."""
    facts = {"system": system, "material": material}
    key = {column: facts[column] for column in table.key if column in facts}
    return table.bracket(size_m, **key).row.cell("fall")


def _of_run(judging: Judging, run: int, falls: Falls, straight: int, need: Cell | None, sign: int) -> Finding:
    model = judging.model
    placed = model.placed
    ends = placed.point_node[[placed.run_from_point[run], placed.run_to_point[run]]][::sign]
    name = placed.run_id(run)
    straights = np.flatnonzero(falls.owner == falls.owner[straight])
    part = ""
    if len(straights) > 1:
        place = int(np.flatnonzero(straights == straight)[0])
        part = f" in straight {place + 1 if sign > 0 else len(straights) - place} of {len(straights)}"
    towards = placed.node_id(int(ends[1]))
    kind, says = _words(f"{name}{part}", towards, falls, straight, need)
    return judging.finding(kind, "drainage", run_place(model, run), (name,), says, cell=need, runs=(run,))


def _words(
    name: str, towards: str, falls: Falls, straight: int, need: Cell | None
) -> tuple[FindingKind, str]:
    drop, plan = float(falls.drop_m[straight]), float(falls.plan_m[straight])
    over = f"over {plan:.3f} m towards {towards}"
    needed = ""
    if need is not None:
        needed = f"; {need.number:.2%} is needed ({need.printed}), {need.number * plan * 1e3:.0f} mm here"
    if drop < -LEVEL_M:
        return BACKFALL, f"{name} rises {-drop * 1e3:.1f} mm {over}{needed}."
    fall = f"{drop * 1e3:.1f} mm {over}, {drop / plan:.2%}"
    return TOO_FLAT, f"{name} falls {fall}{needed}."


def _joints(drainage: Drainage, judging: Judging) -> list[Finding]:
    """Joints that are a piece of drain themselves: long ones, and those with an offset piece."""
    model, net, joints = drainage.model, drainage.net, drainage.model.joints
    flow = _flow(drainage)
    pieces = joints.pieces
    counts = np.abs(joints.axial_m) > LONG_JOINT_M
    counts[pieces.joint[pieces.kind == PieceKind.OFFSET]] = True
    is_joint = (net.kind == EdgeKind.JOINT) & (flow != 0)
    judged = np.flatnonzero(is_joint)[counts[net.ref[is_joint]]]
    joint, flow = net.ref[judged], flow[judged]
    xyz = model.placed.node_xyz_m
    step = xyz[joints.stub_a[joint]] - xyz[joints.stub_b[joint]]
    plan = np.linalg.norm(step[:, :2], axis=1)
    needs = {
        n: least_fall(judging, int(model.node_pipe[stub]), int(model.node_system[stub]))
        for n, stub in enumerate(joints.stub_a[joint].tolist())
        if abs(step[n, 2]) < plan[n]
    }
    need = np.array([cell.number if (cell := needs.get(n)) else np.nan for n in range(len(joint))])
    falls = Falls(np.arange(len(joint), dtype=np.int32), flow * step[:, 2], plan, need)
    short = np.flatnonzero(falls.short_m() > 0.0)
    return [_of_joint(judging, int(joint[n]), falls, n, needs.get(n), int(flow[n])) for n in short.tolist()]


def _of_joint(judging: Judging, joint: int, falls: Falls, n: int, need: Cell | None, flow: int) -> Finding:
    model, joints = judging.model, judging.model.joints
    end = int(joints.stub_b[joint] if flow > 0 else joints.stub_a[joint])
    name = str(joints.id[joint])
    kind, says = _words(f"Joint {name}", model.placed.node_id(end), falls, n, need)
    place = joint_place(model, joint)
    return judging.finding(kind, "drainage", place, (name,), says, cell=need, joints=(joint,))
