# SPDX-License-Identifier: Apache-2.0
"""Soil and waste stacks at their tops: each leads to the open air (D06)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.layout.venting import Venting
from riser.network.risers import Riser
from riser.network.types import Ints
from riser.network.where import level_words, node_place
from riser.rules import Cell

NO_OPEN_VENT = FindingKind(
    "D06",
    "stack without open vent",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A soil or waste stack has no way from its top to the open air.",
    "Lead it through the roof, or to a vent that is open.",
)
KINDS = (NO_OPEN_VENT,)


def open_vent_demand(judging: Judging) -> Cell | None:
    """The demand for open vents, None where the rules make none."""
    return judging.demand("drainage", "open_vent_required", "whether a stack needs an open vent")


def stack_name(drainage: Drainage, stack: Riser) -> str:
    """What people call a stack: its name, or the node at its top."""
    placed = drainage.model.placed
    return stack.name or f"up to {placed.node_id(int(placed.point_node[stack.points[-1]]))}"


def _highest_first(drainage: Drainage, venting: Venting, piece: int) -> list[Riser]:
    """The stacks that breathe together, the highest first."""
    placed = drainage.model.placed
    stacks = [drainage.stacks[n] for n in venting.stack_in[piece]]
    tops = placed.point_node[[stack.points[-1] for stack in stacks]]
    order = sorted(
        range(len(stacks)), key=lambda n: (-placed.node_xyz_m[tops[n], 2], placed.node_id(int(tops[n])))
    )
    return [stacks[n] for n in order]


def _tops(drainage: Drainage, venting: Venting, piece: int) -> Ints:
    """The top points of the stacks that breathe together, the highest first.

    Stacks that stand on one another are one: the top of the lower, where the upper stands, is none; nor is
    one at a joint that cannot be made, where another top is closed.
    """
    stacks = _highest_first(drainage, venting, piece)
    feet = {int(stack.points[0]) for stack in stacks}
    tops = [int(stack.points[-1]) for stack in stacks]
    tops = [top for top in tops if top not in feet] or tops
    return np.array([top for top in tops if top not in drainage.broken_at] or tops, np.int32)


def stack_words(drainage: Drainage, venting: Venting, piece: int) -> str:
    """What people call the highest of the stacks that breathe together."""
    return stack_name(drainage, _highest_first(drainage, venting, piece)[0])


def stack_without_vent_key(drainage: Drainage, venting: Venting, piece: int) -> str:
    """The key of the finding D06 about a piece without an open vent."""
    placed = drainage.model.placed
    ids = placed.node_ids(placed.point_node[_tops(drainage, venting, piece)])
    return ":".join((NO_OPEN_VENT.code, *sorted(set(ids))))


def findings(drainage: Drainage, venting: Venting, judging: Judging) -> list[Finding]:
    """D06, one finding for all stacks that breathe together."""
    if not venting.stack_in:
        return []
    cell = open_vent_demand(judging)
    if cell is None:
        return []
    waste = drainage.fixtures.point("waste")
    drains = venting.label[venting.air_point[drainage.net.degree[waste] > 0]]
    return [
        _closed(drainage, venting, judging, piece, int(np.count_nonzero(drains == piece)), cell)
        for piece in venting.stack_in
    ]


def _closed(
    drainage: Drainage, venting: Venting, judging: Judging, piece: int, drains: int, cell: Cell
) -> Finding:
    model, placed = drainage.model, drainage.model.placed
    tops = _tops(drainage, venting, piece)
    nodes = placed.point_node[tops]
    top = int(nodes[0])
    joint = venting.cause.get(piece, drainage.broken_at.get(int(tops[0]), -1))
    says = (
        f"The stack {stack_words(drainage, venting, piece)} has no open vent: its top, {placed.node_id(top)} "
        f"at {level_words(float(placed.node_xyz_m[top, 2]))}, {_state(drainage, int(tops[0]))}; "
        f"{drains} {'fixture drains' if drains == 1 else 'fixtures drain'} into it."
    )
    system = int(_highest_first(drainage, venting, piece)[0].system)
    return judging.finding(
        NO_OPEN_VENT,
        "drainage",
        node_place(model, top, system),
        placed.node_ids(nodes),
        says,
        cell=cell,
        because=model.joints.fault_key(joint) if joint >= 0 else None,
        nodes=nodes.tolist(),
        joints=(joint,) if joint >= 0 else (),
    )


def _state(drainage: Drainage, top: int) -> str:
    """What becomes of the top of a stack."""
    joint = drainage.broken_at.get(top)
    if joint is not None:
        return f"ends at joint {drainage.model.joints.id[joint]}, which cannot be made"
    return "is closed" if top in drainage.closed_at else "is not led to the open air"
