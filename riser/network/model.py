# SPDX-License-Identifier: Apache-2.0
"""The one model of all pipework: parts placed, joints between them, and the graph they make together.

The graph's vertices are points (places of a node that share water); its edges are runs, passes through
devices, and joints. Bulk questions are asked of the arrays here; `riser.network.views` hands out a riser, a
system or a section as a networkx graph.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np

from riser.network.joints import Joints
from riser.network.kinds import KIND_CODE
from riser.network.placing import Placed
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints

STEEP = np.sqrt(0.5)


class EdgeKind(IntEnum):
    """What an edge of the graph stands for; `Edges.ref` is its number in that table."""

    RUN = 0
    PASS = 1
    JOINT = 2


@dataclass(frozen=True)
class Edges:
    """All edges: points `u` and `v`, kind, number in its own table, system at each end, length in metres.

    A pass has no system of its own (-1); it belongs to whatever runs end at its two points.
    """

    u: Ints
    v: Ints
    kind: Ints
    ref: Ints
    system_u: Ints
    system_v: Ints
    length_m: Floats


@dataclass(frozen=True)
class Model:
    """A building's pipework. `standing` tells which parts count: all in the design check, those recorded as
    placed in the site check.

    On site, `made` tells per joint whether all its connections are recorded as made, and `capped` which
    stubs (by node number) have a temporary cap. A fire riser reaches only as far as its joints are made; for
    other systems an unmade joint is work to do, not a break.
    """

    placed: Placed
    joints: Joints
    standing: Flags
    site: bool = False
    made: Flags | None = None
    capped: Ints | None = None

    @cached_property
    def node_kind(self) -> Ints:
        """Kind code of each node."""
        return self.placed.types.node_kind[self.placed.node_type]

    @cached_property
    def node_system(self) -> Ints:
        """System code each node states (stubs do); -1 for none."""
        return self.placed.types.node_system[self.placed.node_type]

    @cached_property
    def node_pipe(self) -> Ints:
        """Pipe number each node states (stubs do); -1 for none."""
        return self.placed.types.node_pipe[self.placed.node_type]

    @cached_property
    def run_system(self) -> Ints:
        """System code of each run."""
        return self.placed.types.run_system[self.placed.run_type]

    @cached_property
    def run_pipe(self) -> Ints:
        """Pipe number of each run."""
        return self.placed.types.run_pipe[self.placed.run_type]

    @cached_property
    def run_vertical(self) -> Flags:
        """Whether each run stands within 45 degrees of plumb, taken from end to end."""
        types = self.placed.types
        steep = np.abs(types.run_drop_m) >= STEEP * np.maximum(types.run_length_m, 1e-9)
        flags: Flags = steep[self.placed.run_type]
        return flags

    @cached_property
    def node_standing(self) -> Flags:
        """Whether each node's part counts."""
        return self.standing[self.placed.node_part]

    @cached_property
    def joint_stands(self) -> Flags:
        """Whether each joint's water way exists: joined, and both parts count."""
        joints = self.joints
        stands = np.zeros(len(joints), bool)
        joined = joints.joined
        stands[joined] = self.node_standing[joints.stub_a[joined]] & self.node_standing[joints.stub_b[joined]]
        if self.made is not None:
            fire = self.node_system[np.maximum(joints.stub_a, 0)] == System.FIRE
            stands &= self.made | ~fire
        return stands

    @cached_property
    def edges(self) -> Edges:
        """All edges of what counts."""
        placed, joints = self.placed, self.joints
        runs = np.flatnonzero(self.standing[placed.run_part]).astype(np.int32)
        passes = np.flatnonzero(self.node_standing[placed.pass_node]).astype(np.int32)
        made = np.flatnonzero(self.joint_stands).astype(np.int32)
        a, b = joints.stub_a[made], joints.stub_b[made]
        none = np.full(len(passes), -1, np.int32)
        system = self.run_system[runs]
        return Edges(
            u=np.concatenate([placed.run_from_point[runs], placed.pass_from[passes], placed.point0[a]]),
            v=np.concatenate([placed.run_to_point[runs], placed.pass_to[passes], placed.point0[b]]),
            kind=np.repeat(np.array(list(EdgeKind), np.int32), [len(runs), len(passes), len(made)]),
            ref=np.concatenate([runs, passes, made]),
            system_u=np.concatenate([system, none, self.node_system[a]]),
            system_v=np.concatenate([system, none, self.node_system[b]]),
            length_m=np.concatenate(
                [
                    placed.types.run_length_m[placed.run_type[runs]],
                    np.zeros(len(passes)),
                    np.abs(joints.axial_m[made]),
                ]
            ),
        )

    @cached_property
    def point_systems(self) -> Ints:
        """The systems that meet at each point, one bit per system code."""
        placed = self.placed
        bits = np.zeros(len(placed.point_node), np.int32)
        runs = np.flatnonzero(self.standing[placed.run_part])
        flag = np.left_shift(1, self.run_system[runs]).astype(np.int32)
        np.bitwise_or.at(bits, placed.run_from_point[runs], flag)
        np.bitwise_or.at(bits, placed.run_to_point[runs], flag)
        return bits

    @cached_property
    def stub_point_systems(self) -> Ints:
        """As `point_systems`, with the system a stub states even where no run reaches it."""
        bits = self.point_systems.copy()
        stubs = self.placed.stubs
        bits[self.placed.point0[stubs]] |= np.left_shift(1, self.node_system[stubs]).astype(np.int32)
        return bits

    def edges_of(self, systems: frozenset[System]) -> Ints:
        """The numbers of edges that belong to these systems at both ends."""
        edges = self.edges
        mask = int(sum(1 << int(s) for s in systems))
        by_system = np.zeros(len(System) + 1, bool)
        by_system[[int(s) for s in systems]] = True
        inside = by_system[edges.system_u] & by_system[edges.system_v]
        through = edges.kind == EdgeKind.PASS
        touches = ((self.point_systems[edges.u] & mask) != 0) & ((self.point_systems[edges.v] & mask) != 0)
        return np.flatnonzero(np.where(through, touches, inside)).astype(np.int32)

    def nodes_of_kind(self, *kinds: str) -> Ints:
        """The numbers of all nodes of these kinds that count."""
        wanted = [KIND_CODE[kind] for kind in kinds]
        return np.flatnonzero(np.isin(self.node_kind, wanted) & self.node_standing).astype(np.int32)


def design_model(placed: Placed, joints: Joints) -> Model:
    """The whole building as if finished."""
    return Model(placed, joints, np.ones(len(placed.part_name), bool))


def site_model(placed: Placed, joints: Joints, standing: Flags, made: Flags, capped: Ints) -> Model:
    """What stands on site: only the parts recorded as placed."""
    return Model(placed, joints, standing.astype(bool), site=True, made=made, capped=capped)
