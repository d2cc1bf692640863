# SPDX-License-Identifier: Apache-2.0
"""How low a branch may join a stack, where the rule set keeps the lowest part of a stack free (D09).

Such sets state a least height above the foot by the number of storeys that drain into the stack, some of
them less with a vent stack beside it. Where a set prints no height, the lowest storey drains by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from riser.audit import Finding
from riser.errors import NotInRules
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.layout.stack_feet import entry_finding, lowest_feet
from riser.layout.stack_tops import stack_name
from riser.layout.venting import Venting
from riser.network.risers import Riser, risers
from riser.network.systems import System
from riser.network.views import edge_id
from riser.rules import Cell, Table

TABLE = "lowest_branch"
SAME_HEIGHT_M = 1.0e-6


@dataclass(frozen=True, slots=True)
class _Branch:
    """A branch of a stack: its last edge (a position in the net), its height above the foot, its floor."""

    edge: int
    height_m: float
    floor: int


def findings(drainage: Drainage, venting: Venting, judging: Judging) -> list[Finding]:
    """D09 of branches that join a stack too low; nothing where the set in force has no such rule."""
    if not judging.rules.has("drainage") or not judging.rules.subject("drainage").has(TABLE):
        return []
    table = judging.rules.subject("drainage").table(TABLE)
    model = drainage.model
    vented = {int(venting.label[vent.points[0]]) for vent in risers(model, System.VENT)}
    found = []
    for number, foot in lowest_feet(drainage).items():
        stack = drainage.stacks[number]
        branches = list(_branches(drainage, stack, foot))
        if branches:
            has_vent_stack = int(venting.label[stack.points[-1]]) in vented
            found += _too_low(drainage, judging, stack, branches, table, has_vent_stack)
    return found


def _branches(drainage: Drainage, stack: Riser, foot: int) -> Iterator[_Branch]:
    """The branches that bring water into a stack above its foot."""
    net, placed = drainage.net, drainage.model.placed
    own = set(drainage.position_of[stack.edges].tolist())
    points = stack.points.tolist()
    base = float(placed.node_xyz_m[placed.point_node[foot], 2])
    for point in points[points.index(foot) + 1 :]:
        node = int(placed.point_node[point])
        for position in net.at(point):
            start = int(drainage.tree.edge_from[position])
            if position not in own and start not in (-1, point) and drainage.carries[start]:
                yield _Branch(
                    position, float(placed.node_xyz_m[node, 2]) - base, int(placed.node_floor[node])
                )


def _too_low(
    drainage: Drainage,
    judging: Judging,
    stack: Riser,
    branches: list[_Branch],
    table: Table,
    has_vent_stack: bool,
) -> list[Finding]:
    storeys = len({branch.floor for branch in branches})
    cell = _least_height(table, storeys, has_vent_stack)
    lowest = min(branches, key=lambda branch: branch.height_m).floor
    found = []
    for branch in branches:
        if cell is not None and branch.height_m >= cell.number - SAME_HEIGHT_M:
            continue
        if cell is None and branch.floor != lowest:
            continue
        name = edge_id(drainage.model, int(drainage.net.edge[branch.edge]))
        joins = f"{name} joins the stack {stack_name(drainage, stack)} {branch.height_m:.2f} m above its foot"
        needs = f"{cell.number:.2f} m is the least" if cell else "its lowest storey must drain by itself"
        says = f"{joins}; {needs} with {storeys} {'storey' if storeys == 1 else 'storeys'} on it."
        finding = entry_finding(drainage, judging, branch.edge, says, cell)
        found.append(finding if cell else replace(finding, basis=table.cited))
    return found


def _least_height(table: Table, storeys: int, has_vent_stack: bool) -> Cell | None:
    """The least height for so many storeys; None where the set prints none."""
    column = "height" if "height" in table.units else "vent_stack" if has_vent_stack else "stack_vent"
    try:
        return table.bracket(float(storeys)).row.cell(column)
    except NotInRules:
        return None
