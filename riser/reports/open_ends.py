# SPDX-License-Identifier: Apache-2.0
"""Open ends of a floor: stubs that rain and dirt can enter until joined, and whether they are capped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.systems import CONTAINMENT, System
from riser.network.types import Flags, Ints
from riser.reports.pipe_words import pipe_words, system_word
from riser.reports.stage import RANK, Stage, Standing, worst


@dataclass(frozen=True, slots=True)
class OpenEnd:
    """One open end: its stub, what it is, why it is open, its level [m], and whether a cap is recorded."""

    stub: str
    system_word: str
    size: str
    level_m: float
    why: str
    is_capped: bool
    has_joint: bool

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {
            "stub": self.stub,
            "system": self.system_word,
            "size": self.size,
            "level_m": round(self.level_m, 4),
            "why": self.why,
            "capped": self.is_capped,
        }


def parts_standing(model: Model, standing: Standing, floor: int) -> tuple[Flags, bool]:
    """Which parts stand, and whether that is assumed.

    Where the records name no placed part of this building, all its parts up to this floor are taken to stand.
    """
    placed, floors = model.placed, model.placed.floors
    here = floors.building[placed.part_floor] == floors.building[floor]
    recorded = np.array([standing.has_placed(str(name)) for name in placed.part_name.tolist()], dtype=bool)
    if (recorded & here).any():
        return recorded, False
    return here & (floors.order[placed.part_floor] <= floors.order[floor]), True


def open_ends(model: Model, standing: Standing, floor: int, stands: Flags) -> list[OpenEnd]:
    """The open ends that people standing on this floor have to cap, in order of stub id."""
    placed = model.placed
    joint_of = _joint_of_stub(model)
    pipes = pipe_words(placed.tables)
    stubs = placed.stubs[stands[placed.node_part[placed.stubs]]]
    found = []
    for stub in stubs[_floor_of_stub(model, stubs, joint_of) == floor].tolist():
        system = int(model.node_system[stub])
        why = _why_open(model, standing, stub, int(joint_of[stub]), stands)
        if not why or (system >= 0 and System(system) in CONTAINMENT):
            continue
        name = placed.node_id(stub)
        pipe = pipes.pipe(int(model.node_pipe[stub]))
        level = float(placed.node_xyz_m[stub, 2])
        capped, joined = name in standing.state.capped, bool(joint_of[stub] >= 0)
        found.append(OpenEnd(name, system_word(system), pipe, level, why, capped, joined))
    return sorted(found, key=lambda end: end.stub)


def _joint_of_stub(model: Model) -> Ints:
    """The joint of each node, -1 for none."""
    joints = model.joints
    joint_of = np.full(len(model.placed.node_type), -1, np.int32)
    for stubs in (joints.stub_b, joints.stub_a):
        has = np.flatnonzero(stubs >= 0)
        joint_of[stubs[has]] = has
    return joint_of


def _floor_of_stub(model: Model, stubs: Ints, joint_of: Ints) -> Ints:
    """Where people stand to close a stub: the floor its joint is worked on from, else the stub's own."""
    works_on = model.joints.works_on
    if not len(works_on):
        return model.placed.node_floor[stubs]
    joint = joint_of[stubs]
    return np.where(joint >= 0, works_on[joint], model.placed.node_floor[stubs])


def _why_open(model: Model, standing: Standing, stub: int, joint: int, stands: Flags) -> str:
    """Why an end is open; empty where its joint is made."""
    if joint < 0:
        return "no joint is drawn here"
    joints, placed = model.joints, model.placed
    state, name = JointState(int(joints.state[joint])), str(joints.id[joint])
    other = int(joints.stub_b[joint] if joints.stub_a[joint] == stub else joints.stub_a[joint])
    if other >= 0 and not stands[placed.node_part[other]]:
        return f"waits for {placed.part_name[placed.node_part[other]]} ({name})"
    first, last = np.searchsorted(joints.connections.joint, [joint, joint + 1]).tolist()
    stage = worst(standing.stage(str(joints.connections.id[c])) for c in range(first, last))
    if RANK[stage] > RANK[Stage.NOT_YET_SEEN]:
        return ""
    if state == JointState.CLOSED:
        return f"its closed end {name} is not made"
    return f"{name} is not made" if state == JointState.JOINED else f"{name} cannot be made as drawn"
