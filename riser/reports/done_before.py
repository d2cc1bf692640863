# SPDX-License-Identifier: Apache-2.0
"""What belongs to other floors but has to be there before a floor's joints can be made or proven."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riser.network.model import Model
from riser.network.systems import System
from riser.reports.joint_line import JointLine
from riser.reports.pipe_words import system_word
from riser.reports.riser_places import RiserJoints, riser_joints
from riser.reports.stage import Stage, Standing, worst


@dataclass(frozen=True, slots=True)
class Before:
    """One thing to be done first: what it is about, on which floor, in one sentence and in a few words."""

    about: str
    floor: str
    says: str
    short: str

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {"about": self.about, "floor": self.floor, "says": self.says}


def done_before(
    model: Model, standing: Standing, floor: int, lines: Sequence[JointLine], along: list[RiserJoints]
) -> list[Before]:
    """Parts not yet placed, then the joints lower down each riser that nobody has recorded as made."""
    here = {line.id for line in lines}
    lower = (_lower_joints(model, standing, floor, riser, here) for riser in along)
    return [*_parts(model, lines), *(before for before in lower if before is not None)]


def fire_riser_is_made(model: Model, standing: Standing, floor: int) -> bool:
    """Whether every joint of this building's fire risers up to a floor is made, where both its parts stand.

    A building without a fire riser has nothing to make.
    """
    joints, floors = model.joints, model.placed.floors
    for riser in riser_joints(model, {int(System.FIRE)}):
        works_on = joints.works_on[riser.joints]
        if not (floors.building[works_on] == floors.building[floor]).any():
            continue
        reached = floors.level_m[works_on] <= floors.level_m[floor]
        for joint in riser.joints[reached].tolist():
            if _both_placed(model, standing, joint) and _stage(model, standing, joint) == Stage.NOT_YET_SEEN:
                return False
    return True


def _both_placed(model: Model, standing: Standing, joint: int) -> bool:
    placed, joints = model.placed, model.joints
    stubs = (int(joints.stub_a[joint]), int(joints.stub_b[joint]))
    return all(standing.has_placed(str(placed.part_name[placed.node_part[s]])) for s in stubs if s >= 0)


def _parts(model: Model, lines: Sequence[JointLine]) -> list[Before]:
    placed = model.placed
    waits: dict[str, list[str]] = {}
    for line in lines:
        for part in line.waits_for:
            waits.setdefault(part, []).append(line.id)
    found = []
    hoist = {part: float(placed.part_hoist[placed.part_number[part]]) for part in waits}
    for part, joints in sorted(waits.items(), key=lambda item: hoist[item[0]]):
        label = placed.floors.label(int(placed.part_floor[placed.part_number[part]]))
        says = f"{part} (floor {label}) is not recorded as placed; {_joint_list(joints)} on it."
        found.append(Before(part, label, says, f"{part} (floor {label}) to be placed"))
    return found


def _joint_list(joints: list[str]) -> str:
    verb = "waits" if len(joints) == 1 else "wait"
    return f"{', '.join(joints[:4])}{f' and {len(joints) - 4} more' if len(joints) > 4 else ''} {verb}"


def _lower_joints(
    model: Model, standing: Standing, floor: int, riser: RiserJoints, here: set[str]
) -> Before | None:
    """The joints of a riser below this floor's lowest that are not made."""
    joints = model.joints
    names = [str(joints.id[n]) for n in riser.joints.tolist()]
    on_sheet = [place for place, name in enumerate(names) if name in here]
    if not on_sheet:
        return None
    below = [n for n in riser.joints[: min(on_sheet)].tolist() if joints.works_on[n] != floor]
    unmade = [n for n in below if _stage(model, standing, n) == Stage.NOT_YET_SEEN]
    if not unmade:
        return None
    label = model.placed.floors.label(int(joints.works_on[unmade[0]]))
    word = f"{system_word(riser.system)} riser {riser.name or riser.place}"
    lowest = str(joints.id[unmade[0]])
    about = riser.name or names[0]
    if len(unmade) == 1:
        says = f"{word}: joint {lowest} on floor {label} is not recorded as made."
        return Before(about, label, says, f"{about}: {lowest} (floor {label})")
    count = f"{len(unmade)} joints below are not recorded as made"
    says = f"{word}: {count}, the lowest {lowest} on floor {label}."
    return Before(about, label, says, f"{about}: {len(unmade)} joints from {lowest} (floor {label}) up")


def _stage(model: Model, standing: Standing, joint: int) -> Stage:
    connections = model.joints.connections
    first, last = np.searchsorted(connections.joint, [joint, joint + 1]).tolist()
    return worst(standing.stage(str(connections.id[c])) for c in range(first, last))
