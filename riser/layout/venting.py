# SPDX-License-Identifier: Apache-2.0
"""How drains breathe: which pieces of pipework have a way up to the open air.

Air passes soil, waste and vent pipes, but no trap and nothing else that lets water through one way only. It
is not counted on through the horizontal drain beyond the foot of a stack: a stack breathes through its own
top, not through its neighbour's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.layout.drainage import Drainage, waiting_points
from riser.layout.judging import Judging
from riser.layout.nets import Net, net_of
from riser.network.kinds import KIND_CODE, KINDS, NODE_KINDS
from riser.network.model import EdgeKind
from riser.network.systems import AIR, System
from riser.network.tracing import detours
from riser.network.types import Flags, Ints

ONE_WAY = np.array([KINDS[name].one_way for name in NODE_KINDS])


@dataclass(frozen=True)
class Venting:
    """The air side of the drains."""

    drainage: Drainage
    judging: Judging

    @cached_property
    def whole(self) -> Net:
        """All pipework air passes."""
        net = net_of(self.drainage.model, AIR)
        away = net.kind == EdgeKind.PASS
        node = self.drainage.model.placed.pass_node[net.ref[away]]
        away[away] = ONE_WAY[self.drainage.model.node_kind[node]]
        return net.without(away)

    @cached_property
    def upward(self) -> Net:
        """The same without the horizontal drains beyond the feet of stacks."""
        drainage = self.drainage
        feet = np.array([stack.points[0] for stack in drainage.stacks], np.int64)
        beyond = np.flatnonzero(drainage.tree.marked(feet))
        positions = drainage.tree.via[beyond]
        gone = np.zeros(len(drainage.model.edges.u), bool)
        gone[drainage.net.edge[positions[positions >= 0]]] = True
        for stack in drainage.stacks:
            gone[stack.edges] = False
        gone[self._entries()] = True
        return self.whole.without(gone[self.whole.edge])

    def _entries(self) -> list[int]:
        """The lowest edges of stacks that enter the middle of another: they may not breathe through it."""
        middle = np.zeros(self.drainage.net.point_count, bool)
        for stack in self.drainage.stacks:
            middle[stack.points[1:-1]] = True
        return [int(stack.edges[0]) for stack in self.drainage.stacks if middle[stack.points[0]]]

    @cached_property
    def label(self) -> Ints:
        """For every point the piece that breathes together, stack by stack."""
        return self._through_sumps(self.upward.label)

    @cached_property
    def whole_label(self) -> Ints:
        """For every point the piece that breathes together if the drains beyond the stacks count."""
        return self._through_sumps(self.whole.label)

    def _through_sumps(self, label: Ints) -> Ints:
        """Labels with the air above a sump's water joining its inlets to its vent."""
        model = self.drainage.model
        joined = label.copy()
        for first in model.placed.point0[model.nodes_of_kind("sump")].tolist():
            joined[joined == joined[first]] = joined[first + 2]
        return joined

    @cached_property
    def _openings(self) -> Ints:
        """The points of open vents: terminals, and air admittance valves where the rule set allows them."""
        model = self.drainage.model
        valves = model.nodes_of_kind("air_admittance_valve")
        terminals = model.nodes_of_kind("vent_terminal")
        if len(valves):
            question = "whether an air admittance valve counts as an open vent"
            allowed = self.judging.limit("drainage", "air_admittance_valve_allowed", question)
            # Where the rules are silent that has been noted, and the drains are not found fault with.
            if allowed is None or allowed.required:
                terminals = np.concatenate([terminals, valves])
        points: Ints = model.placed.point0[terminals]
        return points

    def _flags(self, label: Ints, points: Ints) -> Flags:
        flags = np.zeros(int(label.max(initial=-1)) + 1, bool)
        flags[label[points]] = True
        return flags

    @cached_property
    def breathes(self) -> Flags:
        """For each piece of `label` whether it has an open vent, or waits for parts that may bring one."""
        return self._flags(self.label, np.concatenate([self._openings, waiting_points(self.drainage.model)]))

    @cached_property
    def whole_breathes(self) -> Flags:
        """The same for each piece of `whole_label`."""
        points = np.concatenate([self._openings, waiting_points(self.drainage.model)])
        return self._flags(self.whole_label, points)

    @cached_property
    def stack_in(self) -> dict[int, list[int]]:
        """Pieces of `label` without an open vent -> the stacks in them."""
        found: dict[int, list[int]] = {}
        for number, stack in enumerate(self.drainage.stacks):
            piece = int(self.label[stack.points[-1]])
            if not self.breathes[piece]:
                found.setdefault(piece, []).append(number)
        return found

    @cached_property
    def cause(self) -> dict[int, int]:
        """Pieces without an open vent -> the joint that cannot be made and would lead them to one."""
        u, v, joint = detours(self.drainage.model, AIR)
        ends = [(int(self.label[a]), int(self.label[b])) for a, b in zip(u.tolist(), v.tolist(), strict=True)]
        ways = [(a, b, j) for (a, b), j in zip(ends, joint.tolist(), strict=True)]
        ways += [(b, a, j) for a, b, j in ways]
        found: dict[int, int] = {}
        grows = True
        while grows:
            grows = False
            for near, far, j in ways:
                settled = self.breathes[near] or near in found
                if settled and not self.breathes[far] and far not in found:
                    found[far] = found.get(near, j)
                    grows = True
        return found

    @cached_property
    def air_point(self) -> Ints:
        """For each fixture the point beyond its trap: that of its drain where the trap is part of it.

        Its own trap is one that comes before any other drain or vent joins.
        """
        drainage = self.drainage
        model, waste = drainage.model, drainage.fixtures.point("waste")
        kind = model.node_kind[model.placed.point_node]
        trap = kind == KIND_CODE["trap"]
        vent = (model.point_systems & (1 << int(System.VENT))) != 0
        stop = trap | vent | (drainage.net.degree > 2)
        first = drainage.tree.first_on_the_way(waste, stop)
        own = (first >= 0) & trap[first]
        beyond = np.where(own, drainage.tree.towards[first], waste)
        return np.where(beyond >= 0, beyond, waste).astype(np.int32)
