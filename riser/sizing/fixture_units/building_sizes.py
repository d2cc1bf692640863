# SPDX-License-Identifier: Apache-2.0
"""Everything the fixture-unit procedure knows of one building: trees, sizes, and the table made of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.network.model import EdgeKind, Model
from riser.network.systems import FOUL, System
from riser.network.types import Flags, Floats, Ints
from riser.rules import RuleSet
from riser.sizing.drain_tree import DrainTree, drain_tree
from riser.sizing.drawn_sizes import Catalogue, catalogue, edge_pipes
from riser.sizing.fixture_units.drain_sheets import DrainSheets
from riser.sizing.fixture_units.drain_sizes import DrainSizes, drain_sizes, foot_step
from riser.sizing.fixture_units.drain_tables import BRANCHES
from riser.sizing.fixture_units.vent_sheets import VentSheets
from riser.sizing.fixture_units.vent_sizes import VentSizes, vent_sizes_of
from riser.sizing.length_sheets import edge_name
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.vent_tree import VentTree, vent_tree

SIZED = FOUL | {System.VENT}


@dataclass(frozen=True)
class BuildingSizes:
    """Drains and vents of a model under one rule set. `stack_m` is the nominal size of each stack: the larger
    of the drawn and the least size at its foot.
    """

    model: Model
    rule_set: RuleSet
    pipes: Catalogue
    drains: DrainTree
    drain_sizes: DrainSizes
    stack_m: Floats
    vents: VentTree
    vent_sizes: VentSizes

    @cached_property
    def edge(self) -> Ints:
        """The edges that have a row: runs and joints of soil, waste and vent pipework, runs first."""
        edges = self.model.edges
        wanted = np.isin(edges.system_u, [int(s) for s in SIZED])
        wanted &= np.isin(edges.kind, [EdgeKind.RUN, EdgeKind.JOINT])
        return np.flatnonzero(wanted).astype(np.int32)

    @cached_property
    def drain_point(self) -> Ints:
        """For each row the point whose wet pipe it is; -1 where it is none."""
        point = self.drains.way.leaving[self.edge]
        return np.where((point >= 0) & self.drains.loads.is_wet[point], point, -1).astype(np.int32)

    @cached_property
    def vent_point(self) -> Ints:
        """For each row the point whose vent it is; -1 where it is none."""
        point = self.vents.way.leaving[self.edge]
        return np.where(self.drain_point >= 0, -1, point).astype(np.int32)

    @cached_property
    def kind(self) -> Ints:
        """For each row the part it plays (PipeKind)."""
        edges, way = self.model.edges, self.drains.way
        foul = np.isin(edges.system_u[self.edge], [int(s) for s in FOUL])
        u, v = edges.u[self.edge], edges.v[self.edge]
        lost = foul & ~way.has_way[u] & ~way.has_way[v]
        kind = np.where(lost, PipeKind.LOST, PipeKind.DRY)
        kind = np.where(self.drains.in_ring[self.edge] & foul & ~lost, PipeKind.RING, kind)
        kind = np.where(self.vent_point >= 0, self.vents.kind[self.vent_point], kind)
        return np.where(self.drain_point >= 0, self.drains.kind[self.drain_point], kind).astype(np.int32)

    @cached_property
    def pipe(self) -> Ints:
        """For each row its pipe in the catalogue; -1 where it has none."""
        return edge_pipes(self.model, self.edge, self.pipes)

    @cached_property
    def drawn_m(self) -> Floats:
        """For each row its drawn nominal size [m]."""
        sizes = np.append(self.pipes.size_m, np.nan)
        return sizes[self.pipe]

    @cached_property
    def least_m(self) -> Floats:
        """For each row its least nominal size [m]; NaN where none can be told."""
        drain = np.where(self.drain_point >= 0, self.drain_sizes.least_m[self.drain_point], np.nan)
        vent = self.vent_least_m[self.vent_point]
        least = np.where(self.drain_point >= 0, drain, np.where(self.vent_point >= 0, vent, np.nan))
        return np.where(least > 0.0, least, np.nan)

    @cached_property
    def vent_least_m(self) -> Floats:
        """By point the least size of the vent leaving it [m]; a joint takes that of the vent below it."""
        known = np.nan_to_num(self.vent_sizes.least_m, nan=0.0)
        inflow = self.vents.way.entering(known, np.maximum)
        return np.where(self.vents.run >= 0, self.vent_sizes.least_m, np.where(inflow > 0.0, inflow, np.nan))

    @cached_property
    def ids(self) -> list[str]:
        """For each row the id of its run or joint."""
        return [edge_name(self.model, edge, 0) for edge in self.edge.tolist()]

    @cached_property
    def row_of(self) -> dict[str, int]:
        """The row of each id."""
        return {name: row for row, name in enumerate(self.ids)}

    @cached_property
    def row_at_drain(self) -> dict[int, int]:
        """The row of the wet pipe that leaves a point."""
        return {point: row for row, point in enumerate(self.drain_point.tolist()) if point >= 0}

    def by_point(self, values: Floats, points: Ints) -> Floats:
        """Values of rows laid out by the points of those rows; NaN elsewhere."""
        laid = np.full(len(self.drains.way.edge), np.nan)
        chosen = points >= 0
        laid[points[chosen]] = values[chosen]
        return laid

    @property
    def is_run(self) -> Flags:
        """For each row whether it is a run."""
        flags: Flags = self.model.edges.kind[self.edge] == EdgeKind.RUN
        return flags

    def drain_sheets(self, *, brief: bool = False) -> DrainSheets:
        """What tells the derivation of drains."""
        return DrainSheets(self.drains, self.drain_sizes, brief)

    def vent_sheets(self, *, brief: bool = False) -> VentSheets:
        """What tells the derivation of vents."""
        return VentSheets(self.vents, self.vent_sizes, self.drain_sheets(brief=brief), self.stack_m)


def building_sizes(model: Model, rule_set: RuleSet) -> BuildingSizes:
    """All drains and vents of what counts in a model, sized under a rule set.

    Raises NotInRules where the set lacks a table of the procedure, InputErrors where design inputs are wrong.
    """
    pipes = catalogue(model, rule_set.table(BRANCHES).printed_units["size"])
    drains = drain_tree(model, rule_set)
    sizes = drain_sizes(drains)
    stack = _stack_sizes(drains, sizes, pipes)
    foot = rule_set.limit("vent_stack_foot_diameters").number
    vents = vent_tree(drains, foot, dict(enumerate(np.nan_to_num(stack).tolist())))
    return BuildingSizes(
        model, rule_set, pipes, drains, sizes, stack, vents, vent_sizes_of(vents, sizes, stack)
    )


def _stack_sizes(drains: DrainTree, sizes: DrainSizes, pipes: Catalogue) -> Floats:
    found = []
    for stack in drains.stacks:
        step = foot_step(drains, stack.points)
        pipe = int(drains.model.run_pipe[drains.run[step]])
        drawn = pipes.size_m[pipe] if pipe >= 0 else np.nan
        found.append(float(np.fmax(drawn, sizes.least_m[step])))
    return np.array(found, dtype=float)
