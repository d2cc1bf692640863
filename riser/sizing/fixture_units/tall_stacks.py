# SPDX-License-Identifier: Apache-2.0
"""Stacks that need more than their own vent: a vent stack, relief vents, vents at a deep offset."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.rules import Cell
from riser.sizing.fixture_units.building_sizes import BuildingSizes
from riser.sizing.fixture_units.drain_sizes import foot_step
from riser.sizing.rule_words import stated_limit
from riser.sizing.stacks import Stack


@dataclass(frozen=True)
class MissingVent:
    """A vent that a stack should have and has not: which stack, the point it belongs near, what, and by which
    limit. `needs` is a vent that has to come first, by its point.
    """

    stack: int
    point: int
    says: str
    remedy: str
    limit: Cell
    needs: int = -1


def missing_vents(building: BuildingSizes) -> list[MissingVent]:
    """All vents that the stacks of a building lack."""
    found = []
    for number, stack in enumerate(building.drains.stacks):
        base = _vent_stack(building, number, stack)
        found += base
        found += _reliefs(building, number, stack, base[0].point if base else -1)
        found += _offsets(building, number, stack)
    return found


def stack_name(building: BuildingSizes, stack: Stack) -> str:
    """What people call a stack: its name, or the id of the run above its foot."""
    edge = int(building.drains.way.edge[foot_step(building.drains, stack.points)])
    return (
        stack.name or f"the stack through {building.model.placed.run_id(int(building.model.edges.ref[edge]))}"
    )


def _vent_stack(building: BuildingSizes, number: int, stack: Stack) -> list[MissingVent]:
    limit = stated_limit(building.rule_set, "vent_stack_from_intervals")
    count = len(stack.intervals)
    if limit is None or count < limit.number or building.vents.of_stack[number].foot:
        return []
    says = (
        f"{stack_name(building, stack)} has {count} branch intervals; from {limit.number:g} on it needs a "
        f"vent stack, and no vent begins at or below its lowest branch."
    )
    remedy = "Draw a vent stack from the foot of the stack up to open air or into the stack vent."
    return [MissingVent(number, foot_step(building.drains, stack.points), says, remedy, limit)]


def _reliefs(building: BuildingSizes, number: int, stack: Stack, needs: int) -> list[MissingVent]:
    """Relief vents counted from the top: one in every so many intervals of a tall stack."""
    over = stated_limit(building.rule_set, "relief_vent_over_intervals")
    every = stated_limit(building.rule_set, "relief_vent_every")
    count = len(stack.intervals)
    if over is None or every is None or count <= over.number:
        return []
    vents = building.vents.of_stack[number]
    place = {point: n for n, point in enumerate(stack.points.tolist())}
    vented = [place[p] for p in (*vents.between, *vents.foot) if p in place]
    if any(p not in place for p in vents.foot):
        vented.append(len(stack.points) - 1)
    found = []
    for interval in range(int(every.number), count + 1, int(every.number)):
        begin = place[stack.intervals[interval - 1].points[0]]
        end = place[stack.intervals[interval].points[0]] if interval < count else len(stack.points)
        if any(begin <= p < end for p in vented):
            continue
        level = stack.intervals[interval - 1].level_m
        says = (
            f"{stack_name(building, stack)} has {count} branch intervals; one of more than {over.number:g} "
            f"has a relief vent at every {every.number:g}th from the top, and interval {interval} "
            f"at level {level:+.3f} m has none."
        )
        remedy = "Draw a relief vent from below the branch of that interval to the vent stack."
        point = stack.intervals[interval - 1].points[0]
        found.append(MissingVent(number, point, says, remedy, over, needs))
    return found


def _offsets(building: BuildingSizes, number: int, stack: Stack) -> list[MissingVent]:
    """Horizontal offsets far below the top without a vent, unless one size larger than a building drain."""
    limit = stated_limit(building.rule_set, "offset_intervals_below_top")
    starts = np.flatnonzero(stack.offset & ~np.concatenate([[False], stack.offset[:-1]]))
    if limit is None:
        return []
    found = []
    for start in starts.tolist():
        above = int(stack.interval[start])
        if above <= limit.number or _is_larger(building, stack, start) or _is_vented(building, number, start):
            continue
        point = int(stack.points[start])
        level = float(building.model.placed.node_xyz_m[building.model.placed.point_node[point], 2])
        says = (
            f"{stack_name(building, stack)} turns aside at level {level:+.3f} m, {above} branch intervals "
            f"below its top; more than {limit.number:g} below, an offset needs vents above and below it."
        )
        remedy = "Draw a vent above the offset and one below it, or make the offset one size larger."
        found.append(MissingVent(number, point, says, remedy, limit))
    return found


def _is_larger(building: BuildingSizes, stack: Stack, start: int) -> bool:
    """Whether every run of an offset is drawn at least one size larger than a building drain would be."""
    drawn = building.by_point(building.drawn_m, building.drain_point)
    for step in range(start, len(stack.offset)):
        point = int(stack.points[step])
        if not stack.offset[step]:
            return True
        if (
            building.drains.run[point] >= 0
            and not drawn[point] > building.drain_sizes.by_load_m[point] * 1.001
        ):
            return False
    return True


def _is_vented(building: BuildingSizes, number: int, start: int) -> bool:
    """Whether a vent begins between the last branch above an offset and the first one below it."""
    stack, vents = building.drains.stacks[number], building.vents.of_stack[number]
    place = {point: n for n, point in enumerate(stack.points.tolist())}
    branches = sorted(place[p] for one in stack.intervals for p in one.points)
    before = max((p for p in branches if p <= start), default=0)
    after = min((p for p in branches if p > start), default=len(stack.points) - 1)
    return any(before < place[p] <= after for p in (*vents.between, *vents.foot) if p in place)
