# SPDX-License-Identifier: Apache-2.0
"""Soil and waste stacks at their feet: undisturbed and accessible (D09, D10).

The foot of a stack is where its lowest vertical pipe ends and the drain goes on more nearly level. Within a
stack every such turn counts: below each, a branch must keep away, for the water that comes down stands there.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.layout.nets import level_lengths_m
from riser.layout.stack_tops import stack_name
from riser.network.kinds import KIND_CODE
from riser.network.model import EdgeKind
from riser.network.risers import Riser
from riser.network.views import edge_id
from riser.network.where import node_place
from riser.rules import Cell

CLOSED_ZONE = FindingKind(
    "D09",
    "branch in the zone closed at a stack's foot",
    Severity.WARNING,
    COMMON_PRACTICE,
    "A branch joins the drain so near the foot or an offset of a stack that water is driven back into it.",
    "Join it farther downstream.",
)
NO_CLEANOUT = FindingKind(
    "D10",
    "no cleanout at a stack's foot",
    Severity.WARNING,
    COMMON_PRACTICE,
    "Where a stack turns into the drain nothing lets a rod in.",
    "Place a cleanout or a test tee near the foot.",
)
KINDS = (CLOSED_ZONE, NO_CLEANOUT)

OPENINGS = ("cleanout", "test_tee")
SAME_PLACE_M = 1.0e-6


def findings(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D09 and D10."""
    return [*_closed_zones(drainage, judging), *_without_cleanout(drainage, judging)]


def _feet(drainage: Drainage) -> Iterator[tuple[int, int]]:
    """Each turn from a vertical pipe of a stack to one more nearly level: the stack's number, and the point.

    A stack cut short by a missing joint, or standing on another stack, has no foot there.
    """
    net, tree = drainage.net, drainage.tree
    level = level_lengths_m(net) > 0.0
    for number, stack in enumerate(drainage.stacks):
        position = drainage.position_of[stack.edges]
        for place, point in enumerate(stack.points[:-1].tolist()):
            falls = not level[position[place]] and net.kind[position[place]] != EdgeKind.PASS
            onward = int(tree.via[point])
            if not falls or onward < 0 or not level[onward]:
                continue
            yield number, point


def lowest_feet(drainage: Drainage) -> dict[int, int]:
    """The lowest turn of each stack that has one, by the number of the stack."""
    lowest: dict[int, int] = {}
    for number, foot in _feet(drainage):
        lowest.setdefault(number, foot)
    return lowest


def _closed_zones(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D09: branches that join the drain within so many stack diameters of a foot or offset."""
    feet = list(_feet(drainage))
    if not feet:
        return []
    cell = judging.limit("drainage", "base_of_stack_diameters", "branches near the foot of a stack")
    if cell is None:
        return []
    model, net = drainage.model, drainage.net
    found: dict[int, Finding] = {}
    for number, foot in feet:
        stack = drainage.stacks[number]
        bore = judging.pipes[_pipe_above(drainage, stack, foot)].bore_m
        for branch, far in _entries(drainage, stack, foot, cell.number * bore):
            name = edge_id(model, int(net.edge[branch]))
            turn = model.placed.node_id(int(model.placed.point_node[foot]))
            says = (
                f"{name} joins the drain {far:.2f} m beyond {turn}, the foot of the stack "
                f"{stack_name(drainage, stack)}; {cell.number * bore:.2f} m must be free of branches "
                f"({cell.number:g} × {bore * 1e3:.0f} mm)."
            )
            found.setdefault(branch, entry_finding(drainage, judging, branch, says, cell))
    return list(found.values())


def _pipe_above(drainage: Drainage, stack: Riser, foot: int) -> int:
    """The pipe of the vertical that ends at a turn."""
    place = int(np.flatnonzero(stack.points == foot)[0])
    for edge in stack.edges[place:].tolist():
        position = int(drainage.position_of[edge])
        if drainage.net.kind[position] == EdgeKind.RUN:
            return int(drainage.model.run_pipe[drainage.net.ref[position]])
    return int(drainage.model.node_pipe[drainage.model.placed.point_node[foot]])


def _entries(drainage: Drainage, stack: Riser, foot: int, zone_m: float) -> Iterator[tuple[int, float]]:
    """The edges that bring other water into the drain within a length beyond a foot, and how far off.

    The zone ends where the drain turns down again.
    """
    net, tree = drainage.net, drainage.tree
    level = level_lengths_m(net)
    along = set(drainage.position_of[stack.edges].tolist())
    far, point = 0.0, foot
    while True:
        for position in net.at(point):
            start = int(tree.edge_from[position])
            if start >= 0 and start != point and position not in along and drainage.carries[start]:
                yield position, far
        onward = int(tree.via[point])
        if onward < 0 or (level[onward] == 0.0 and net.length_m[onward] > 0.0):
            return
        along.add(onward)
        far += float(net.length_m[onward])
        point = int(tree.towards[point])
        if far >= zone_m - SAME_PLACE_M:
            return


def entry_finding(drainage: Drainage, judging: Judging, branch: int, says: str, cell: Cell | None) -> Finding:
    """A finding D09 about the edge by which a branch joins."""
    model, net = drainage.model, drainage.net
    point = int(drainage.tree.towards[drainage.tree.edge_from[branch]])
    node = int(model.placed.point_node[point])
    ref = int(net.ref[branch])
    is_run = net.kind[branch] == EdgeKind.RUN
    system = int(model.run_system[ref]) if is_run else -1
    return judging.finding(
        CLOSED_ZONE,
        "drainage",
        node_place(model, node, system),
        (edge_id(model, int(net.edge[branch])),),
        says,
        cell=cell,
        nodes=(node,),
        runs=(ref,) if is_run else (),
    )


def _without_cleanout(drainage: Drainage, judging: Judging) -> list[Finding]:
    """D10: no cleanout within reach along the pipe of the lowest turn of a stack."""
    lowest = lowest_feet(drainage)
    question = "cleanouts at the feet of stacks"
    demand = judging.demand("drainage", "cleanout_at_stack_foot", question) if lowest else None
    reach = judging.limit("drainage", "cleanout_stack_foot_distance", question) if demand else None
    if demand is None or reach is None:
        return []
    opens = np.isin(
        drainage.model.node_kind[drainage.model.placed.point_node], [KIND_CODE[kind] for kind in OPENINGS]
    )
    return [
        _no_cleanout(drainage, judging, drainage.stacks[number], foot, demand, reach)
        for number, foot in lowest.items()
        if not opens[list(drainage.net.within(foot, reach.number))].any()
    ]


def _no_cleanout(
    drainage: Drainage, judging: Judging, stack: Riser, foot: int, demand: Cell, reach: Cell
) -> Finding:
    model = drainage.model
    node = int(model.placed.point_node[foot])
    name = model.placed.node_id(node)
    says = (
        f"No cleanout within {reach.number:.2f} m along the pipe of {name}, the foot of the stack "
        f"{stack_name(drainage, stack)}."
    )
    place = node_place(model, node, int(stack.system))
    return judging.finding(NO_CLEANOUT, "drainage", place, (name,), says, cell=demand, nodes=(node,))
