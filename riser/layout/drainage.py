# SPDX-License-Identifier: Apache-2.0
"""The drains of a building as every check sees them: how they run, what they carry, where stacks stand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.layout.fixtures import Fixtures, fixtures_of
from riser.layout.nets import Net, Tree, net_of, tree_to
from riser.layout.rings import Ring, rings
from riser.network.joints import JointState
from riser.network.kinds import KIND_CODE
from riser.network.model import EdgeKind, Model
from riser.network.risers import Riser, risers
from riser.network.systems import DRAINS, System
from riser.network.tracing import Ways, drain_ways, outfall_points
from riser.network.types import Flags, Ints

# What a run or stub passes without anything beginning or ending there.
PASSED = ("bend", "tee", "reducer", "cap", "test_tee", "anchor", "guide", "expansion_piece")


def waiting_points(model: Model) -> Ints:
    """The stubs that wait for a part not yet placed: their pipework goes on and is not judged as an end."""
    joints = model.joints
    waiting = np.zeros(len(joints), bool)
    waiting[joints.joined] = True
    waiting &= ~model.joint_stands
    stubs = np.concatenate([joints.stub_a[waiting], joints.stub_b[waiting]])
    stubs = stubs[model.node_standing[stubs]]
    points: Ints = model.placed.point0[stubs]
    return points


def stubs_in_state(model: Model, *states: JointState) -> Ints:
    """The points of standing stubs whose joint is in one of these states."""
    joints = model.joints
    those = np.isin(joints.state, states)
    stubs = np.concatenate([joints.stub_a[those], joints.stub_b[those]])
    stubs = stubs[stubs >= 0]
    points: Ints = model.placed.point0[stubs[model.node_standing[stubs]]]
    return points


def lives(net: Net, passed: tuple[str, ...]) -> Flags:
    """The points where something begins or ends, so that a pipe that stops there is no blind end.

    `passed` are the kinds of nodes a pipe only goes through. A stub that nothing is joined to lives unless it
    is closed for good: open, broken and waiting stubs are other findings, or none. A cleanout at the end of a
    pipe is there for a purpose; one in the course of a pipe is passed.
    """
    model = net.model
    kind = model.node_kind[model.placed.point_node]
    flags: Flags = ~np.isin(kind, [KIND_CODE[name] for name in passed])
    through = (kind == KIND_CODE["stub"]) | (kind == KIND_CODE["cleanout"])
    flags[through] = net.degree[through] == 1
    flags[stubs_in_state(model, JointState.CLOSED)] = False
    return flags


def broken_joint_at(model: Model) -> dict[int, int]:
    """Points of stubs whose joint cannot come to be -> that joint."""
    joints, found = model.joints, dict[int, int]()
    for n in joints.broken.tolist():
        for stub in (int(joints.stub_a[n]), int(joints.stub_b[n])):
            if stub >= 0:
                found[int(model.placed.point0[stub])] = n
    return found


def goes_beyond_its_part(model: Model, riser: Riser) -> bool:
    """Whether a chain is a riser or stack: named, or leading to another part or floor.

    What stays within one part on one floor is a drop to a fixture, however long. Common practice, no source.
    """
    node = model.placed.point_node[riser.points[[0, -1]]]
    floor = model.placed.node_floor[node]
    joined = bool(np.any(model.edges.kind[riser.edges] == EdgeKind.JOINT))
    open_ended = bool(np.any(model.node_kind[node] == KIND_CODE["stub"]))
    return riser.is_named or joined or open_ended or bool(floor[0] != floor[1])


@dataclass(frozen=True)
class Drainage:
    """The drains of a model, traced once for all checks."""

    model: Model

    @cached_property
    def fixtures(self) -> Fixtures:
        """All fixtures that count."""
        return fixtures_of(self.model)

    @cached_property
    def net(self) -> Net:
        """All drain-carrying pipework. A sump ends it: what its pump lifts begins anew at its outlet."""
        net = net_of(self.model, DRAINS)
        away = net.kind == EdgeKind.PASS
        node = self.model.placed.pass_node[net.ref[away]]
        away[away] = self.model.node_kind[node] == KIND_CODE["sump"]
        return net.without(away)

    @cached_property
    def way(self) -> Ways:
        """The way from every point to an outfall."""
        return drain_ways(self.model)

    @cached_property
    def tree(self) -> Tree:
        """The way water takes. A piece without an outfall is judged as if its lowest end led to one."""
        homes = outfall_points(self.model)
        has_home = np.zeros(int(self.net.label.max()) + 1, bool)
        has_home[self.net.label[homes]] = True
        lost = np.flatnonzero((self.net.degree > 0) & ~has_home[self.net.label])
        return tree_to(self.net, np.concatenate([homes, self._lowest_ends(lost)]))

    def _lowest_ends(self, points: Ints) -> Ints:
        """Of each piece of these points the lowest end that is no inlet and no vent, or its lowest point."""
        placed = self.model.placed
        vents = placed.point0[self.model.nodes_of_kind("vent_terminal", "air_admittance_valve")]
        is_end = self.net.degree == 1
        is_end[self.inlets] = False
        is_end[vents] = False
        level = placed.node_xyz_m[placed.point_node[points], 2]
        label = self.net.label[points]
        order = np.lexsort((level, ~is_end[points], label))
        first = np.unique(label[order], return_index=True)[1]
        lowest: Ints = points[order[first]]
        return lowest

    @cached_property
    def rings(self) -> list[Ring]:
        """All rings of drain-carrying pipework."""
        return rings(self.net)

    @cached_property
    def on_ring(self) -> Flags:
        """Which edges of the net lie on a ring: which way they run cannot be told."""
        flags = np.zeros(len(self.net.edge), bool)
        for ring in self.rings:
            flags[list(ring.edges)] = True
        return flags

    @cached_property
    def broken_at(self) -> dict[int, int]:
        """Points of stubs whose joint cannot come to be -> that joint."""
        return broken_joint_at(self.model)

    @cached_property
    def closed_at(self) -> frozenset[int]:
        """Points of stubs that are closed for good."""
        return frozenset(stubs_in_state(self.model, JointState.CLOSED).tolist())

    @cached_property
    def inlets(self) -> Ints:
        """The points where water enters: fixtures with a drain, roof outlets, gullies, traps."""
        model, fixtures = self.model, self.fixtures
        waste = fixtures.point("waste")
        nodes = model.nodes_of_kind("roof_outlet", "gully", "trap")
        points = np.concatenate([waste, model.placed.point0[nodes]])
        entering: Ints = points[self.net.degree[points] > 0]
        return entering

    @cached_property
    def carries(self) -> Flags:
        """Which points water passes on its way from an inlet."""
        return self.tree.marked(self.inlets)

    @cached_property
    def airs(self) -> Flags:
        """Which edges only air a drain: no inlet lies beyond them, but an open vent does."""
        terminals = self.model.placed.point0[
            self.model.nodes_of_kind("vent_terminal", "air_admittance_valve")
        ]
        air = self.tree.marked(terminals) & ~self.carries
        start = self.tree.edge_from
        flags: Flags = (start >= 0) & air[start]
        return flags

    @cached_property
    def is_foul(self) -> Flags:
        """Whether soil or waste pipes meet at each point."""
        foul = (1 << int(System.SOIL)) | (1 << int(System.WASTE))
        flags: Flags = (self.model.stub_point_systems & foul) != 0
        return flags

    @cached_property
    def pumped(self) -> Flags:
        """Which edges stand under a pump: from a sump or pump up to where other water joins."""
        flags = np.zeros(len(self.net.edge), bool)
        placed = self.model.placed
        nodes = self.model.nodes_of_kind("sump", "pump")
        for start in (placed.point0[nodes] + 1).tolist():
            for point, position in self.tree.path(start):
                flags[position] = True
                if self.net.degree[point] > 2:
                    break
        return flags

    @cached_property
    def stacks(self) -> list[Riser]:
        """Every soil and waste stack."""
        found = [*risers(self.model, System.SOIL), *risers(self.model, System.WASTE)]
        return [stack for stack in found if goes_beyond_its_part(self.model, stack)]

    @cached_property
    def on_stack(self) -> Ints:
        """For every point the number of the stack it stands on, -1 for none."""
        stack = np.full(self.net.point_count, -1, np.int32)
        for number, riser in enumerate(self.stacks):
            stack[riser.points] = number
        return stack

    @cached_property
    def position_of(self) -> Ints:
        """For every edge of the model its position in the net, -1 where it is not in it."""
        position = np.full(len(self.model.edges.u), -1, np.int32)
        position[self.net.edge] = np.arange(len(self.net.edge), dtype=np.int32)
        return position
