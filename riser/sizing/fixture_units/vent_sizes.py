# SPDX-License-Identifier: Apache-2.0
"""Least sizes of all vents of a building at once, by fixture units and developed length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.network.types import Flags, Floats, Ints
from riser.sizing.fixture_units.drain_sizes import DrainSizes, foot_step
from riser.sizing.fixture_units.drain_tables import branch_size
from riser.sizing.fixture_units.vent_tables import (
    VENTS,
    branch_vent_size,
    longest_vent,
    stack_vent_parts,
    stack_vent_size,
)
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.vent_tree import VentTree


@dataclass(frozen=True)
class VentSizes:
    """By point, of the vent leaving it: its least size, the load of the drains it serves [dfu], the nominal
    size of the stack or drain that decides, and that drain's point (-1 where it is the size of a common
    branch). `relief_stack` is the stack a relief vent serves.
    """

    least_m: Floats
    units: Floats
    drain_m: Floats
    drain_at: Ints
    by_drain: Flags
    relief_stack: Ints


def stack_units(vents: VentTree) -> Floats:
    """What drains into each stack [dfu]."""
    drains = vents.drains
    return np.array([drains.loads.units[foot_step(drains, s.points)] for s in drains.stacks], dtype=float)


def vent_sizes_of(vents: VentTree, sizes: DrainSizes, stack_m: Floats) -> VentSizes:
    """The least size of every vent; `stack_m` is the nominal size of each stack."""
    count = len(vents.served)
    units, drain = np.zeros(count), np.full(count, np.nan)
    per_stack = stack_units(vents)
    point, stack = vents.ways_of_stacks[:, 0], vents.ways_of_stacks[:, 1]
    np.add.at(units, point, per_stack[stack] if len(stack) else 0.0)
    largest = np.zeros(count)
    np.maximum.at(largest, point, np.nan_to_num(stack_m)[stack] if len(stack) else 0.0)
    main = vents.is_main
    drain[main] = largest[main]
    length = vents.developed_length_m
    least = np.full(count, np.nan)
    main_runs = main & (vents.run >= 0)
    by_length, by_drain = stack_vent_parts(
        vents.drains.rule_set, drain[main_runs], units[main_runs], length[main_runs]
    )
    least[main_runs] = np.maximum(by_length, by_drain)
    decides = ~main
    decides[main_runs] = by_drain > by_length
    drain_at = _others(vents, sizes, units, drain)
    other = (vents.run >= 0) & ~main & (vents.kind != PipeKind.DRY)
    least[other] = branch_vent_size(vents.drains.rule_set, drain[other], length[other])
    relief = _relief_stack(vents)
    _size_reliefs(vents, stack_m, per_stack, relief, least)
    return VentSizes(least, units, drain, drain_at, decides, relief)


def _others(vents: VentTree, sizes: DrainSizes, units: Floats, drain: Floats) -> Ints:
    """Fills load and drain of vents that belong to no stack; gives the point of the drain that decides."""
    served = np.where(vents.served, vents.drains.loads.units, 0.0)
    load = vents.way.gathered(served)
    needed = np.where(vents.served, sizes.least_m, 0.0)
    largest = vents.way.gathered(needed, np.maximum)
    at = np.where(vents.served, np.arange(len(served)), -1)
    for points in reversed(vents.way.levels[1:]):
        onward = vents.way.next_point[points]
        leads = (largest[points] == largest[onward]) & (needed[onward] < largest[onward])
        at[onward[leads][::-1]] = at[points[leads][::-1]]
    common = branch_size(vents.drains.rule_set, load)
    other = ~vents.is_main
    several = other & (vents.kind == PipeKind.BRANCH_VENT) & (common > largest)
    units[other], drain[other] = load[other], np.where(several, common, largest)[other]
    return np.where(several, -1, at).astype(np.int32)


def _relief_stack(vents: VentTree) -> Ints:
    """For each relief vent the stack it serves; -1 for all others."""
    stack = np.full(len(vents.served), -1, np.int32)
    for one in vents.of_stack:
        stack[list(one.between)] = one.stack
    gathered = vents.way.gathered(stack, np.maximum)
    return np.where(vents.kind == PipeKind.RELIEF_VENT, gathered, -1).astype(np.int32)


def vent_stack_length_m(vents: VentTree, stack: int) -> float:
    """Developed length of a stack's vent stack [m], else of its stack vent; NaN without either."""
    one = vents.of_stack[stack]
    begun = one.foot or one.top
    return max((float(vents.way.distance_m[p]) for p in begun), default=float("nan"))


def _size_reliefs(vents: VentTree, stack_m: Floats, per_stack: Floats, relief: Ints, least: Floats) -> None:
    """A relief vent is as large as the vent stack of its stack."""
    for stack in np.unique(relief[relief >= 0]).tolist():
        length = vent_stack_length_m(vents, stack)
        size = stack_vent_size(vents.drains.rule_set, float(stack_m[stack]), float(per_stack[stack]), length)
        chosen = (relief == stack) & (vents.run >= 0)
        least[chosen] = np.fmax(least[chosen], size)


def longest_allowed(vents: VentTree, found: VentSizes, drawn_m: Floats) -> Floats:
    """How long each vent of a stack may be at its drawn size [m]; NaN for vents without such a limit."""
    table = vents.drains.rule_set.table(VENTS)
    allowed = np.full(len(found.units), np.nan)
    main = np.flatnonzero(vents.is_main & (vents.run >= 0) & ~np.isnan(drawn_m))
    asked = np.stack([found.drain_m[main], found.units[main], drawn_m[main]], axis=1)
    rows, inverse = np.unique(asked, axis=0, return_inverse=True)
    lengths = np.array([longest_vent(table, *row) for row in rows.tolist()], dtype=float)
    allowed[main] = lengths[inverse.ravel()] if len(main) else allowed[main]
    return allowed
