# SPDX-License-Identifier: Apache-2.0
"""The foul drains of a building as a tree with loads: what each pipe carries and what part it plays."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.network.model import EdgeKind, Model
from riser.network.systems import FOUL, System
from riser.network.tracing import outfall_points
from riser.network.types import Flags, Floats, Ints
from riser.rules import RuleSet
from riser.sizing.loads import DrainLoads, drain_loads
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.stacks import LEVEL_ROUNDING_M, Stack, StackFigures, stack_figures, stacks
from riser.sizing.ways_home import WaysHome, ways_home

# What drains into foul pipes: condensate has no size of its own here, but it brings load.
DRAINED = FOUL | {System.CONDENSATE}
STEEPEST = 1.0
LEAST_PLAN_M = 1.0e-6


@formula(
    "fall_m_per_m = min(drop_m / max(plan_m, 1e-6), 1)",
    unit="m/m",
    basis="geometry; 45 degrees and steeper count as 1",
)
def drawn_fall(drop_m: Quantity, plan_m: Quantity) -> Quantity:
    """Fall of a pipe in the direction of flow [m/m] from its drop and its length in plan [m].

    >>> float(drawn_fall(0.030, 3.0))
    0.01
    """
    return np.minimum(drop_m / np.maximum(plan_m, LEAST_PLAN_M), STEEPEST)


@formula(
    "fall_m_per_m = min((drop_m + rounding_m) / max(plan_m, 1e-6), 1)",
    unit="m/m",
    basis="geometry; levels are drawn to the millimetre, 45 degrees and steeper count as 1",
)
def fall_within_rounding(drop_m: Quantity, plan_m: Quantity, rounding_m: Quantity) -> Quantity:
    """The steepest fall a drawing rounded to the millimetre may stand for [m/m]: a table is entered with it.

    >>> round(float(fall_within_rounding(0.031, 3.0, 0.001)), 6)
    0.010667
    """
    return np.minimum((drop_m + rounding_m) / np.maximum(plan_m, LEAST_PLAN_M), STEEPEST)


@dataclass(frozen=True)
class DrainTree:
    """All foul drains of a model under one rule set. Arrays are by point and tell of the pipe leaving it."""

    model: Model
    rule_set: RuleSet
    way: WaysHome
    loads: DrainLoads
    stacks: tuple[Stack, ...]
    figures: StackFigures
    in_ring: Flags

    @cached_property
    def run(self) -> Ints:
        """The run that leaves each point on the way home; -1 where a joint, a device or nothing does."""
        edges, edge = self.model.edges, self.way.edge
        if not len(edges.kind):
            return np.full(len(edge), -1, np.int32)
        is_run = (edge >= 0) & (edges.kind[edge] == EdgeKind.RUN)
        return np.where(is_run, edges.ref[edge], -1).astype(np.int32)

    @cached_property
    def drop_m(self) -> Floats:
        """How far the run leaving each point falls on its way home [m]."""
        level = self.model.placed.node_xyz_m[self.model.placed.point_node, 2]
        return np.where(self.run >= 0, level - level[self.way.next_point], 0.0)

    @cached_property
    def plan_m(self) -> Floats:
        """The length in plan of the run leaving each point [m]."""
        placed = self.model.placed
        plan = placed.types.run_plan_m[placed.run_type] if len(placed.run_type) else np.zeros(1)
        return np.where(self.run >= 0, plan[self.run], 0.0)

    @cached_property
    def fall_m_per_m(self) -> Floats:
        """The fall of the run leaving each point [m/m]; NaN where no run leaves it."""
        return np.where(self.run >= 0, drawn_fall(self.drop_m, self.plan_m), np.nan)

    @cached_property
    def table_fall_m_per_m(self) -> Floats:
        """The fall with which a table is entered [m/m]; NaN where no run leaves the point."""
        fall = fall_within_rounding(self.drop_m, self.plan_m, LEVEL_ROUNDING_M)
        return np.where(self.run >= 0, fall, np.nan)

    @cached_property
    def is_pumped(self) -> Flags:
        """Whether the run leaving each point stands upright and carries water upwards."""
        upright = self.model.run_vertical
        flags: Flags = (self.run >= 0) & (self.drop_m < -LEVEL_ROUNDING_M)
        return flags & upright[self.run] if len(upright) else flags

    @cached_property
    def runs_to_stack(self) -> Flags:
        """Whether a stack lies on the way home behind the pipe leaving each point."""
        in_stack = self.figures.stack >= 0
        return self.way.handed_out(in_stack, in_stack) & ~in_stack

    @cached_property
    def stacks_above(self) -> Ints:
        """How many stacks drain through the pipe leaving each point, counted from their feet."""
        feet = np.zeros(len(self.way.edge), np.int32)
        np.add.at(feet, np.array([stack.foot for stack in self.stacks], np.int32), 1)
        return self.way.gathered(feet)

    @cached_property
    def kind(self) -> Ints:
        """The part the pipe leaving each point plays (PipeKind)."""
        loads, stack = self.loads, self.figures.stack
        kind = np.where(self.stacks_above > 0, PipeKind.BUILDING_DRAIN, PipeKind.BUILDING_BRANCH)
        kind = np.where(self.runs_to_stack, PipeKind.BRANCH, kind)
        alone = (loads.fixtures_above == 1) & (loads.flow_m3s == 0.0)
        kind = np.where(alone, PipeKind.FIXTURE_DRAIN, kind)
        kind = np.where(stack >= 0, PipeKind.STACK, kind)
        kind = np.where(self.figures.offset, PipeKind.OFFSET, kind)
        kind = np.where(self.is_pumped, PipeKind.PUMPED, kind)
        kind = np.where(loads.is_wet, kind, PipeKind.DRY)
        return np.where(self.way.has_way, kind, PipeKind.LOST).astype(np.int32)

    @cached_property
    def is_foul(self) -> Flags:
        """Whether the pipe leaving each point is soil or waste."""
        edges, edge = self.model.edges, self.way.edge
        if not len(edges.kind):
            return np.zeros(len(edge), bool)
        foul = np.isin(edges.system_u, [int(s) for s in FOUL])
        flags: Flags = (edge >= 0) & (foul[edge] | (edges.kind[edge] == EdgeKind.PASS))
        return flags


def drain_tree(model: Model, rule_set: RuleSet) -> DrainTree:
    """The foul drains of what counts in a model, with loads and stacks under a rule set."""
    chosen = model.edges_of(frozenset(DRAINED))
    way = ways_home(model, frozenset(DRAINED), chosen, outfall_points(model))
    loads = drain_loads(model, rule_set, way, frozenset(DRAINED))
    found = stacks(model, way, loads, rule_set.limit("branch_interval_height").number)
    figures = stack_figures(found, len(way.next_point))
    return DrainTree(model, rule_set, way, loads, tuple(found), figures, _in_ring(way, chosen))


def _in_ring(way: WaysHome, chosen: Ints) -> Flags:
    """By edge of the model: whether water could leave it both ways, so that its load cannot be told."""
    flags = np.zeros(way.edge_count, bool)
    flags[chosen] = True
    flags[way.edge[way.edge >= 0]] = False
    return flags
