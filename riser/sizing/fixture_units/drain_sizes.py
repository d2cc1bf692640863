# SPDX-License-Identifier: Apache-2.0
"""Least sizes of all drains of a building at once, by fixture units.

Each pipe first gets the size of its own load; then nothing becomes smaller in the direction of flow; then the
upper part of a stack is held to its share of the foot. What decided each size is kept, so that a sheet can
tell it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from riser.errors import NotInRules
from riser.network.types import Flags, Floats, Ints
from riser.rules import Cell, RuleSet
from riser.sizing.drain_tree import DrainTree
from riser.sizing.fixture_units.drain_tables import (
    BRANCHES,
    BUILDING,
    UNITS,
    branch_size,
    building_drain_size,
    capacities,
    least_sizes,
    printed_falls,
    sizes_at_least,
    stack_column,
)
from riser.sizing.loads import UNITS_TABLE
from riser.sizing.pipe_kinds import DRAIN_KINDS, PipeKind
from riser.sizing.ways_home import WaysHome


class Decided(IntEnum):
    """What decided the least size of a drain."""

    NOTHING = 0
    LOAD = 1
    INTERVAL = 2
    TRAP = 3
    CLOSET = 4
    SHARE = 5
    UPSTREAM = 6


BY_FALL = (PipeKind.BUILDING_DRAIN, PipeKind.BUILDING_BRANCH, PipeKind.OFFSET)


@dataclass(frozen=True)
class DrainSizes:
    """By point, of the pipe leaving it: `own_m` the size for what it carries itself (NaN where it cannot be
    told), then `least_m` with what flows in and the share of the stack's foot.

    `by_load_m` and `by_interval_m` are what the tables say to the load and to that of one branch interval;
    `decided` says what decided, `origin` the point from which the size comes; `beyond` marks loads the tables
    do not hold, and falls below them.
    """

    by_load_m: Floats
    by_interval_m: Floats
    own_m: Floats
    least_m: Floats
    decided: Ints
    origin: Ints
    beyond: Flags
    foot_m: Floats
    share_m: Floats


def closet_size(rule_set: RuleSet) -> Cell | None:
    """The least drain of a water closet, where the set states one."""
    try:
        return rule_set.limit("closet_drain_size_min")
    except NotInRules:
        return None


def drain_sizes(tree: DrainTree) -> DrainSizes:
    """The least size of every drain of the tree."""
    by_load, by_interval = _by_tables(tree)
    own, decided, beyond = _own_sizes(tree, by_load, by_interval)
    first, _ = narrowing_excluded(tree.way, own)
    foot, share = _shares(tree, first)
    raised = np.fmax(own, share)
    decided = np.where(share > np.nan_to_num(own, nan=0.0), Decided.SHARE, decided)
    least, origin = narrowing_excluded(tree.way, raised)
    decided = np.where(origin != np.arange(len(origin)), Decided.UPSTREAM, decided)
    decided = np.where(least > 0.0, decided, Decided.NOTHING).astype(np.int32)
    return DrainSizes(by_load, by_interval, own, least, decided, origin, beyond, foot, share)


def narrowing_excluded(way: WaysHome, own_m: Floats) -> tuple[Floats, Ints]:
    """Sizes that never become smaller on the way home, and for each the point whose own size it is."""
    least = np.nan_to_num(own_m, nan=0.0)
    origin = np.arange(len(least), dtype=np.int32)
    for points in reversed(way.levels[1:]):
        onward = way.next_point[points]
        before = least[onward].copy()
        np.maximum.at(least, onward, least[points])
        larger = (least[points] == least[onward]) & (least[points] > before)
        # The first of several equal ones is named, in the order of points.
        origin[onward[larger][::-1]] = origin[points[larger][::-1]]
    return least, origin


def _by_tables(tree: DrainTree) -> tuple[Floats, Floats]:
    """What the tables ask for by load, and for stacks by the load of one branch interval."""
    kind, runs, units, rule_set = tree.kind, tree.run >= 0, tree.loads.units, tree.rule_set
    alone = kind == PipeKind.FIXTURE_DRAIN
    by_load, by_interval = np.full(len(kind), np.nan), np.full(len(kind), np.nan)
    branch = runs & ((kind == PipeKind.BRANCH) | (alone & tree.runs_to_stack))
    by_load[branch] = branch_size(rule_set, units[branch])
    falling = runs & (np.isin(kind, BY_FALL) | (alone & ~tree.runs_to_stack))
    by_load[falling] = building_drain_size(rule_set, units[falling], tree.table_fall_m_per_m[falling])
    table, stack = rule_set.table(BRANCHES), runs & (kind == PipeKind.STACK)
    for count in np.unique(tree.figures.intervals[stack]):
        same = stack & (tree.figures.intervals == count)
        by_load[same] = least_sizes(table, stack_column(rule_set, int(count)), units[same])
    by_interval[stack] = least_sizes(table, "one_interval", tree.figures.interval_units[stack])
    return by_load, by_interval


def _own_sizes(tree: DrainTree, by_load: Floats, by_interval: Floats) -> tuple[Floats, Ints, Flags]:
    """The size each run needs for what it carries, what decided it, and where the tables end."""
    kind, runs = tree.kind, tree.run >= 0
    stack = runs & (kind == PipeKind.STACK)
    own = np.where(stack, np.maximum(by_load, by_interval), by_load)
    decided = np.where(stack & (by_interval > by_load), Decided.INTERVAL, Decided.LOAD)
    # A fixture drain is as large as its trap; where the table prints none, its load decides.
    alone, trap = runs & (kind == PipeKind.FIXTURE_DRAIN), _trap_sizes(tree)
    by_trap = alone & ~np.isnan(trap)
    own, decided = np.where(by_trap, trap, own), np.where(by_trap, Decided.TRAP, decided)
    sized = runs & np.isin(kind, [int(k) for k in DRAIN_KINDS])
    closet, served = closet_size(tree.rule_set), sized & (tree.loads.closets > 0)
    if closet is None:
        return own, decided, sized & np.isnan(own)
    own = np.where(alone & served & ~by_trap, np.nan, own)
    beyond = sized & np.isnan(own) & ~(alone & served)
    smaller = served & ~beyond & ~(own >= closet.number)
    own, decided = np.where(smaller, closet.number, own), np.where(smaller, Decided.CLOSET, decided)
    return own, decided, beyond


def _trap_sizes(tree: DrainTree) -> Floats:
    """For a pipe that carries one fixture the least trap of that fixture; NaN where none is printed."""
    loads = tree.loads
    if not loads.classes:
        return np.full(len(loads.units), np.nan)
    rows = [c.row.row(UNITS_TABLE) if c.row else None for c in loads.classes]
    traps = np.array([row.number("trap") if row and row.has("trap") else np.nan for row in rows])
    found: Floats = traps[np.argmax(loads.counts, axis=1)]
    return found


def _shares(tree: DrainTree, least_m: Floats) -> tuple[Floats, Floats]:
    """For each step of a stack the largest size of the stack and the least size that its share allows."""
    foot, share = np.full(len(least_m), np.nan), np.full(len(least_m), np.nan)
    try:
        part = tree.rule_set.limit("stack_top_share").number
    except NotInRules:
        return foot, share
    for stack in tree.stacks:
        steps = stack.points[:-1][~stack.offset]
        foot[steps] = least_m[foot_step(tree, stack.points)]
    runs = (tree.run >= 0) & ~np.isnan(foot)
    share[runs] = sizes_at_least(tree.rule_set.table(BRANCHES), foot[runs] * part)
    return foot, share


def foot_step(tree: DrainTree, points: Ints) -> int:
    """The point of a stack whose pipe is the last run above its foot: the largest of the stack."""
    runs = np.flatnonzero(tree.run[points[:-1]] >= 0)
    return int(points[runs[-1]])


def drawn_capacity(tree: DrainTree, drawn_m: Floats) -> Floats:
    """What the drawn size of each pipe may carry [dfu]; NaN where no table of loads holds for it."""
    kind, rule_set = tree.kind, tree.rule_set
    found = np.full(len(kind), np.nan)
    runs = tree.run >= 0
    branch = runs & (kind == PipeKind.BRANCH)
    table = rule_set.table(BRANCHES)
    found[branch] = capacities(table, "branch", drawn_m[branch])
    stack = runs & (kind == PipeKind.STACK)
    for count in np.unique(tree.figures.intervals[stack]):
        same = stack & (tree.figures.intervals == count)
        found[same] = capacities(table, stack_column(rule_set, int(count)), drawn_m[same])
    falling = runs & np.isin(kind, BY_FALL)
    building = rule_set.table(BUILDING)
    column = printed_falls(building, tree.table_fall_m_per_m)
    for fall in np.unique(column[falling & ~np.isnan(column)]):
        same = falling & (column == fall)
        found[same] = capacities(building, UNITS, drawn_m[same], fall=float(fall))
    return found


def drawn_margin(tree: DrainTree, drawn_m: Floats, capacity: Floats) -> Floats:
    """What the drawn size could still take [dfu]: for a stack the less of its total and of one interval."""
    margin = capacity - tree.loads.units
    stack = (tree.run >= 0) & (tree.kind == PipeKind.STACK)
    one = capacities(tree.rule_set.table(BRANCHES), "one_interval", drawn_m[stack])
    margin[stack] = np.minimum(margin[stack], one - tree.figures.interval_units[stack])
    return margin
