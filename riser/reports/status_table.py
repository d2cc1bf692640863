# SPDX-License-Identifier: Apache-2.0
"""How far the job is: joints by building, floor, shaft and system, each counted once at its worst."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from riser.network.joints import JointState
from riser.network.model import Model
from riser.network.types import Ints
from riser.records.state import State
from riser.reports.joint_lines import working_order
from riser.reports.pipe_words import system_word
from riser.reports.riser_places import joint_shafts, riser_joints
from riser.reports.stage import Stage, Standing, worst


@dataclass(frozen=True, slots=True)
class StatusRow:
    """The joints of one system in or near one shaft on one floor; `shaft` is "" for those far from any.

    `stages` counts each joint once; `cannot_be_made` and `covered_without_release` count joints that are
    among these as well.
    """

    building: str
    floor: str
    shaft: str
    system_word: str
    stages: tuple[int, ...]
    cannot_be_made: int
    covered_without_release: int

    @property
    def joints(self) -> int:
        """How many joints there are."""
        return sum(self.stages)

    def count(self, stage: Stage) -> int:
        """How many joints are at a stage."""
        return self.stages[list(Stage).index(stage)]

    def as_json(self) -> dict[str, object]:
        """One JSON object."""
        return {
            "building": self.building,
            "floor": self.floor,
            "shaft": self.shaft,
            "system": self.system_word,
            "joints": self.joints,
            **{stage.name.lower(): self.count(stage) for stage in Stage},
            "cannot_be_made": self.cannot_be_made,
            "covered_without_release": self.covered_without_release,
        }


@dataclass(frozen=True)
class StatusTable:
    """All rows, by building, floor, shaft and working order of the systems; and their sum."""

    rows: tuple[StatusRow, ...]

    @property
    def total(self) -> StatusRow:
        """All rows added up."""
        stages = tuple(sum(column) for column in zip(*(row.stages for row in self.rows), strict=True))
        return StatusRow(
            "", "", "", "",
            stages or (0,) * len(Stage),
            sum(row.cannot_be_made for row in self.rows),
            sum(row.covered_without_release for row in self.rows),
        )  # fmt: skip

    def as_json(self) -> dict[str, object]:
        """One JSON object, its list named `states`."""
        return {"states": [row.as_json() for row in self.rows], "total": self.total.as_json()}


def status_table(
    model: Model,
    site_state: State,
    *,
    proven: frozenset[str] = frozenset(),
    stale: frozenset[str] = frozenset(),
) -> StatusTable:
    """The status of every joint of the design model; `proven` and `stale` name connections."""
    standing = Standing(site_state, proven, stale)
    joints = model.joints
    numbers = np.flatnonzero(joints.works_on >= 0).astype(np.int32)
    system = _systems(model)
    along = riser_joints(model, set(system[numbers].tolist()))
    shafts = joint_shafts(model, numbers, along)
    stages, opened = _stages(model, standing)
    cells: dict[tuple[int, str, int], list[int]] = {}
    for joint, shaft in zip(numbers.tolist(), shafts, strict=True):
        cells.setdefault((int(joints.works_on[joint]), shaft.name, int(system[joint])), []).append(joint)
    rank, order = working_order(model), model.placed.floors.order
    building = model.placed.floors.building

    def place(key: tuple[int, str, int]) -> tuple[str, float, bool, str, int]:
        floor, shaft, code = key
        return str(building[floor]), float(order[floor]), shaft == "", shaft, rank.get(code, len(rank))

    return StatusTable(
        tuple(_row(model, key, cells[key], stages, opened) for key in sorted(cells, key=place))
    )


def _systems(model: Model) -> Ints:
    """The system of each joint: that of its first stub; -1 for none."""
    joints = model.joints
    stub = np.where(joints.stub_a >= 0, joints.stub_a, joints.stub_b)
    return np.where(stub >= 0, model.node_system[np.maximum(stub, 0)], -1).astype(np.int32)


def _stages(model: Model, standing: Standing) -> tuple[list[Stage], list[bool]]:
    """Each joint's stage, and whether one of its connections was covered without a release that holds."""
    connections, count = model.joints.connections, len(model.joints)
    found: list[list[Stage]] = [[] for _ in range(count)]
    opened = [False] * count
    for name, joint in zip(connections.id.tolist(), connections.joint.tolist(), strict=True):
        found[joint].append(standing.stage(name))
        opened[joint] = opened[joint] or standing.is_covered_unreleased(name)
    return [worst(stages) for stages in found], opened


def _row(
    model: Model, key: tuple[int, str, int], joints: Sequence[int], stages: list[Stage], opened: list[bool]
) -> StatusRow:
    floor, shaft, system = key
    floors = model.placed.floors
    counted = Counter(stages[n] for n in joints)
    barred = (JointState.NO_STUB, JointState.APART, JointState.NOT_FACING)
    return StatusRow(
        building=str(floors.building[floor]),
        floor=str(floors.name[floor]),
        shaft=shaft,
        system_word=system_word(system),
        stages=tuple(counted.get(stage, 0) for stage in Stage),
        cannot_be_made=sum(int(model.joints.state[n]) in barred for n in joints),
        covered_without_release=sum(opened[n] for n in joints),
    )
