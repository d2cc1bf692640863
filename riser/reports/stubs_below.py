# SPDX-License-Identifier: Apache-2.0
"""The stubs cast into the ground, each with the stub above it; and stubs above that have none below."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.types import Flags, Ints

BELOW = "below_slab"
LOOKS_DOWN = -0.7


@dataclass(frozen=True, slots=True)
class StubPair:
    """A stub below the slab and the one above it; -1 where one is missing. `joint` -1 where none is drawn."""

    building: str
    stub: int
    above: int
    joint: int
    stub_text: str


def stub_pairs(model: Model) -> list[StubPair]:
    """Every stub to be set out: joined or not, and needed from above though nobody drew it."""
    below = _is_below(model)
    scheduled, used = _scheduled(model, below)
    loose = model.placed.stubs[below[model.placed.stubs]]
    drawn = [
        StubPair(_building(model, stub), stub, -1, -1, "") for stub in loose.tolist() if stub not in used
    ]
    return [*scheduled, *drawn, *_needed(model, below, used)]


def _is_below(model: Model) -> Flags:
    """Per node, whether it belongs to below-slab pipework."""
    placed = model.placed
    kind = placed.types.part_kind[placed.part_type]
    flags: Flags = (kind == BELOW)[placed.node_part]
    return flags


def _building(model: Model, node: int) -> str:
    floors = model.placed.floors
    return str(floors.building[model.placed.part_floor[model.placed.node_part[node]]])


def _scheduled(model: Model, below: Flags) -> tuple[list[StubPair], set[int]]:
    """Pairs from the joints; and the stubs that some joint uses. Joints within the ground are left out."""
    joints, placed = model.joints, model.placed
    below_parts = {str(name) for name in placed.part_name[np.unique(placed.node_part[below])].tolist()}
    pairs, used = [], set()
    for n in range(len(joints)):
        a, b = int(joints.stub_a[n]), int(joints.stub_b[n])
        used |= {stub for stub in (a, b) if stub >= 0}
        if (b >= 0 and below[b]) or a < 0:
            a, b = b, a
        if a >= 0 and below[a] and not (b >= 0 and below[b]):
            # A joint that geometry contradicts is listed all the same: the difference is what matters here.
            pairs.append(StubPair(_building(model, a), a, b, n, ""))
        elif a >= 0 and joints.state[n] == JointState.NO_STUB:
            missing = _missing_text(model, n)
            if missing.partition("/")[0] in below_parts:
                pairs.append(StubPair(_building(model, a), -1, a, n, missing))
    return pairs, used


def _missing_text(model: Model, joint: int) -> str:
    joints = model.joints
    return str(joints.text_a[joint] if joints.stub_a[joint] < 0 else joints.text_b[joint])


def _needed(model: Model, below: Flags, used: set[int]) -> list[StubPair]:
    """Stubs that look down from the lowest modules over below-slab pipework and have no joint."""
    placed = model.placed
    floors = _lowest_floors(model, below)
    stubs = placed.stubs
    looks_down = placed.facing(stubs)[:, 2] < LOOKS_DOWN
    wanted = stubs[looks_down & ~below[stubs] & np.isin(placed.node_floor[stubs], floors)]
    return [
        StubPair(_building(model, stub), -1, stub, -1, f"(below {placed.node_id(stub)})")
        for stub in wanted.tolist()
        if stub not in used
    ]


def _lowest_floors(model: Model, below: Flags) -> Ints:
    """The floor of each building on which the first modules stand, where it has below-slab pipework."""
    placed = model.placed
    with_ground = {
        str(placed.floors.building[placed.part_floor[p]]) for p in np.unique(placed.node_part[below])
    }
    first: dict[str, int] = {}
    for part, floor in enumerate(placed.part_floor.tolist()):
        building = str(placed.floors.building[floor])
        if placed.types.part_kind[placed.part_type[part]] == BELOW or building not in with_ground:
            continue
        if building not in first or placed.floors.order[floor] < placed.floors.order[first[building]]:
            first[building] = floor
    return np.array(list(first.values()), dtype=np.int32)
