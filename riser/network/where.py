# SPDX-License-Identifier: Apache-2.0
"""Where something is, in the words of people on site."""

from __future__ import annotations

from dataclasses import dataclass

from riser.network.model import Model
from riser.network.systems import System
from riser.network.types import Floats


@dataclass(frozen=True, slots=True)
class Place:
    """Building, floor (as said aloud), system word and a phrase with part and level."""

    building: str
    floor: str
    system: str
    words: str


def level_words(level_m: float) -> str:
    """A level with its sign, in metres to the millimetre: `+3.150 m`."""
    return f"{level_m:+.3f} m"


def node_place(model: Model, node: int, system: int = -1) -> Place:
    """Where a node is."""
    placed = model.placed
    floor = int(placed.node_floor[node])
    system = system if system >= 0 else int(model.node_system[node])
    word = System(system).label if system >= 0 else ""
    words = (
        f"floor {placed.floors.label(floor)}, {placed.node_id(node)}, level {_level(placed.node_xyz_m[node])}"
    )
    return Place(str(placed.floors.building[floor]), str(placed.floors.name[floor]), word, words)


def run_place(model: Model, run: int) -> Place:
    """Where a run is: its start's floor."""
    placed = model.placed
    node = int(placed.point_node[placed.run_from_point[run]])
    floor = int(placed.node_floor[node])
    label = placed.floors.label(floor)
    words = f"floor {label}, {placed.run_id(run)}, level {_level(placed.node_xyz_m[node])}"
    system = System(int(model.run_system[run])).label
    return Place(str(placed.floors.building[floor]), str(placed.floors.name[floor]), system, words)


def joint_place(model: Model, joint: int) -> Place:
    """Where a joint is: the floor people stand on to make it."""
    placed, joints = model.placed, model.joints
    floor = int(joints.works_on[joint])
    stub = int(joints.stub_a[joint]) if joints.stub_a[joint] >= 0 else int(joints.stub_b[joint])
    if stub < 0:
        return Place("", "", "", f"joint {joints.id[joint]}")
    code = int(model.node_system[stub])
    system = System(code).label if code >= 0 else ""
    level = _level(placed.node_xyz_m[stub])
    words = f"floor {placed.floors.label(floor)}, joint {joints.id[joint]}, level {level}"
    return Place(str(placed.floors.building[floor]), str(placed.floors.name[floor]), system, words)


def _level(xyz_m: Floats) -> str:
    return level_words(float(xyz_m[2]))
