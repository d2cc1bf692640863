# SPDX-License-Identifier: Apache-2.0
"""The supply of a building as every check sees it: its sources, where water moves, which pipes are risers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.layout.drainage import PASSED, goes_beyond_its_part, lives
from riser.layout.fixtures import SUPPLY_PORTS, Fixtures, fixtures_of
from riser.layout.nets import BlindLegs, Net, Tree, blind_legs, net_of, tree_to
from riser.layout.rings import rings
from riser.network.kinds import KIND_CODE, KINDS, NODE_KINDS, SOURCES
from riser.network.model import EdgeKind, Model
from riser.network.risers import BRANCH_PORTS, Riser, risers
from riser.network.systems import SUPPLY, System
from riser.network.tracing import Ways, source_points, supply_ways
from riser.network.types import Flags, Ints

# Devices a pipe leads through.
INLINE = tuple(name for name, kind in KINDS.items() if kind.passes and not kind.starts_network)
# Water moves in a pipe only on its way to one of these: whatever else ends a pipe, water stands there.
DRAWN_FROM = ("fixture", "tank", "heater", "hose_valve", "sprinkler_branch")
# Systems whose risers feed outlets. A hot return collects.
FEEDING = (System.COLD, System.HOT, System.NON_POTABLE)

CLOSES = np.array([KINDS[name].closes for name in NODE_KINDS])
STARTS = np.array([KINDS[name].starts_network or name in SOURCES for name in NODE_KINDS])


@dataclass(frozen=True)
class Supply:
    """The supply pipework of a model, traced once for all checks."""

    model: Model

    @cached_property
    def fixtures(self) -> Fixtures:
        """All fixtures that count."""
        return fixtures_of(self.model)

    @cached_property
    def net(self) -> Net:
        """All supply pipework."""
        return net_of(self.model, SUPPLY)

    @cached_property
    def way(self) -> Ways:
        """The way from every point to a source."""
        return supply_ways(self.model)

    @cached_property
    def tree(self) -> Tree:
        """The way from every point to a source, pipe by pipe."""
        return tree_to(self.net, source_points(self.model, SUPPLY))

    @cached_property
    def outlets(self) -> Ints:
        """The points of all fixture ports to which a supply pipe leads."""
        points = np.concatenate([self.fixtures.point(port) for port in SUPPLY_PORTS])
        joined: Ints = points[self.net.degree[points] > 0]
        return joined

    @cached_property
    def node_kind(self) -> Ints:
        """The kind of the node of each point."""
        kind: Ints = self.model.node_kind[self.model.placed.point_node]
        return kind

    @cached_property
    def closing(self) -> Flags:
        """Which edges of the net lead through something that can be shut."""
        flags: Flags = self.net.kind == EdgeKind.PASS
        node = self.model.placed.pass_node[self.net.ref[flags]]
        flags[flags] = CLOSES[self.model.node_kind[node]]
        return flags

    @cached_property
    def starts(self) -> Flags:
        """The points of sources, tanks and heaters: whatever lies behind one is another matter."""
        flags: Flags = STARTS[self.node_kind]
        return flags

    @cached_property
    def blind(self) -> BlindLegs:
        """Legs of pipe that end in a cap, a closed stub or nothing."""
        alive = lives(self.net, (*PASSED, *INLINE))
        ends = np.flatnonzero((self.net.degree == 1) & ~alive).astype(np.int32)
        return blind_legs(self.net, ends, alive, np.zeros(len(self.net.edge)))[0]

    @cached_property
    def live_degree(self) -> Ints:
        """For every point the number of edges in which water may move: without legs that end in anything but
        an outlet, a source, or an end that another finding or a part to come will carry on.
        """
        alive = lives(self.net, (*PASSED, *INLINE))
        standing = [KIND_CODE[name] for name in ("drain_cock", "air_vent", "expansion_vessel")]
        alive[np.isin(self.node_kind, standing)] = False
        alive[self.node_kind == KIND_CODE["cleanout"]] = False
        ends = np.flatnonzero((self.net.degree == 1) & ~alive).astype(np.int32)
        return blind_legs(self.net, ends, alive, np.zeros(len(self.net.edge)))[1]

    @cached_property
    def risers(self) -> list[Riser]:
        """The risers of every system that feeds outlets, and of hot returns."""
        found = [riser for system in (*FEEDING, System.HOT_RETURN) for riser in risers(self.model, system)]
        return [riser for riser in found if goes_beyond_its_part(self.model, riser)]

    @cached_property
    def riser_at(self) -> Ints:
        """For every point the number of the riser it belongs to, -1 for none. A tee from which a riser leaves
        by a branch belongs to the pipe it is a branch of.
        """
        number = np.full(self.net.point_count, -1, np.int32)
        for n, riser in enumerate(self.risers):
            first = 1 if self._branches_off(int(riser.edges[0]), int(riser.points[0])) else 0
            last = 1 if self._branches_off(int(riser.edges[-1]), int(riser.points[-1])) else 0
            number[riser.points[first : len(riser.points) - last]] = n
        return number

    def _branches_off(self, edge: int, point: int) -> bool:
        """Whether a run enters a point by the branch of a tee."""
        edges, placed = self.model.edges, self.model.placed
        if edges.kind[edge] != EdgeKind.RUN:
            return False
        run = int(edges.ref[edge])
        column = "from_port" if placed.run_from_point[run] == point else "to_port"
        return bool(placed.types.runs[column].iat[placed.run_type[run]] in BRANCH_PORTS)

    @cached_property
    def on_main(self) -> Flags:
        """The points that water for several risers passes, risers themselves left out."""
        count = np.zeros(self.net.point_count, np.int32)
        for riser in self.risers:
            near = int(riser.points[np.argmin(self.tree.distance_m[riser.points])])
            count[[near, *(point for point, _ in self.tree.path(near))]] += 1
        flags: Flags = (count > 1) & (self.riser_at < 0)
        return flags

    @cached_property
    def on_ring(self) -> Flags:
        """Which edges of the net lie on a ring of one system; flow and return of hot water are no ring."""
        flags = np.zeros(len(self.net.edge), bool)
        for system in FEEDING:
            own = net_of(self.model, {system})
            for ring in rings(own):
                flags[self.position_of[own.edge[list(ring.edges)]]] = True
        return flags

    @cached_property
    def position_of(self) -> Ints:
        """For every edge of the model its position in the net, -1 where it is not in it."""
        position = np.full(len(self.model.edges.u), -1, np.int32)
        position[self.net.edge] = np.arange(len(self.net.edge), dtype=np.int32)
        return position

    def from_feed(self, number: int) -> tuple[Ints, Ints]:
        """The points of a riser from where it leaves the main, and the edges between them (positions in the
        net); empty where no source feeds it.
        """
        riser = self.risers[number]
        far = self.tree.distance_m[riser.points[[0, -1]]]
        points, edges = riser.points, self.position_of[riser.edges]
        if far[0] > far[1]:
            points, edges = points[::-1], edges[::-1]
        own = np.flatnonzero(self.riser_at[points] == number)
        if not np.isfinite(far).any() or not len(own):
            return points[:0], edges[:0]
        return points[own[0] :], edges[own[0] :]
