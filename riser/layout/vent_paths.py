# SPDX-License-Identifier: Apache-2.0
"""Whether fixtures have a vent, and near enough to their traps (D05, D11)."""

from __future__ import annotations

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.errors import NotInRules
from riser.layout.cut_off import named
from riser.layout.drainage import Drainage
from riser.layout.judging import Judging
from riser.layout.stack_tops import open_vent_demand, stack_without_vent_key, stack_words
from riser.layout.venting import Venting
from riser.network.model import EdgeKind
from riser.network.systems import System
from riser.network.types import Flags, Ints
from riser.network.where import node_place
from riser.rules import Cell

NO_VENT = FindingKind(
    "D05",
    "trap or fixture without a vent path",
    Severity.ERROR,
    COMMON_PRACTICE,
    "From the drain behind a trap no way leads up to an open vent: the water in the trap is sucked out.",
    "Lead a vent from the drain to the open air.",
)
FAR_FROM_VENT = FindingKind(
    "D11",
    "trap too far from its vent",
    Severity.WARNING,
    COMMON_PRACTICE,
    "The drain between a trap and the vent that protects it is longer than the rule set allows for its size.",
    "Bring the vent nearer, or widen the drain.",
)
KINDS = (NO_VENT, FAR_FROM_VENT)

CLOSETS = ("wc_cistern", "wc_flush_valve")


def findings(drainage: Drainage, venting: Venting, judging: Judging) -> list[Finding]:
    """D05 and D11."""
    chosen = _judged(drainage)
    cell = open_vent_demand(judging) if len(chosen) else None
    if cell is None:
        return []
    piece = venting.label[venting.air_point[chosen]]
    closed = ~venting.breathes[piece]
    found = _without_vent(drainage, venting, judging, chosen[closed], cell)
    # How far the vent is from a trap does not depend on the stack's top, which is a finding of its own.
    led = ~closed | np.isin(piece, list(venting.stack_in))
    return found + _far_from_vent(drainage, venting, judging, chosen[led])


def _judged(drainage: Drainage) -> Ints:
    """The fixtures with a foul drain that leads to an outfall: without one the drain comes first."""
    waste = drainage.fixtures.point("waste")
    joined = (drainage.net.degree[waste] > 0) & drainage.is_foul[waste]
    return np.flatnonzero(joined).astype(np.int32)


def _without_vent(
    drainage: Drainage, venting: Venting, judging: Judging, chosen: Ints, cell: Cell
) -> list[Finding]:
    """D05. On a stack it follows from the stack; elsewhere one finding for each piece of pipework."""
    point = venting.air_point[chosen]
    on_stack = np.isin(venting.label[point], list(venting.stack_in))
    found = [
        _on_a_stack(drainage, venting, judging, int(n), int(venting.label[p]), cell)
        for n, p in zip(chosen[on_stack].tolist(), point[on_stack].tolist(), strict=True)
    ]
    rest, point = chosen[~on_stack], point[~on_stack]
    whole = venting.whole_label[point]
    led = np.isfinite(drainage.way.distance_m[drainage.fixtures.point("waste")[rest]])
    alone = led & ~venting.whole_breathes[whole]
    rest, whole = rest[alone], whole[alone]
    pieces = np.unique(whole).tolist()
    return found + [_piece(drainage, judging, rest[whole == piece], cell) for piece in pieces]


def _on_a_stack(
    drainage: Drainage, venting: Venting, judging: Judging, n: int, piece: int, cell: Cell
) -> Finding:
    model = drainage.model
    node = int(drainage.fixtures.node[n])
    run = int(drainage.fixtures.run_at[drainage.fixtures.point("waste")[n]])
    name = model.placed.node_id(node)
    return judging.finding(
        NO_VENT,
        "drainage",
        node_place(model, node, int(model.run_system[run])),
        (name,),
        f"{name} drains into the stack {stack_words(drainage, venting, piece)}, which has no open vent.",
        remedy="Give the stack an open vent; this goes with it.",
        cell=cell,
        because=stack_without_vent_key(drainage, venting, piece),
        nodes=(node,),
        runs=(run,),
    )


def _piece(drainage: Drainage, judging: Judging, chosen: Ints, cell: Cell) -> Finding:
    model = drainage.model
    nodes = drainage.fixtures.node[chosen]
    run = int(drainage.fixtures.run_at[drainage.fixtures.point("waste")[chosen[0]]])
    ids = model.placed.node_ids(nodes)
    count = "1 fixture" if len(ids) == 1 else f"{len(ids)} fixtures"
    return judging.finding(
        NO_VENT,
        "drainage",
        node_place(model, int(nodes[0]), int(model.run_system[run])),
        (ids[0],),
        f"{count} ({named(ids)}) on drains from which no way leads up to an open vent.",
        cell=cell,
        nodes=nodes.tolist(),
    )


def vent_points(drainage: Drainage) -> Flags:
    """Where a drain breathes: at a vent pipe, and on a stack."""
    has_vent = (drainage.model.point_systems & (1 << int(System.VENT))) != 0
    flags: Flags = has_vent | (drainage.on_stack >= 0)
    return flags


def _far_from_vent(drainage: Drainage, venting: Venting, judging: Judging, chosen: Ints) -> list[Finding]:
    """D11: along the drain, from the trap to the first point where it breathes."""
    tree = drainage.tree
    exempt = judging.stated("drainage", "trap_to_vent_closets_exempt")
    if exempt is not None and exempt.required:
        chosen = chosen[~np.isin(drainage.fixtures.kind[chosen], CLOSETS)]
    start = venting.air_point[chosen]
    vent = tree.first_on_the_way(start, vent_points(drainage))
    there = vent >= 0
    chosen, start, vent = chosen[there], start[there], vent[there]
    far = tree.distance_m[start] - tree.distance_m[vent]
    off = far > 0.0
    chosen, start, vent, far = chosen[off], start[off], vent[off], far[off]
    limits = _limits(drainage, judging, start)
    most = np.array([cell.number if cell else np.inf for cell in limits])
    return [
        _too_far(drainage, judging, int(chosen[n]), int(vent[n]), float(far[n]), limits[n])
        for n in np.flatnonzero(far > most + 1e-6).tolist()
    ]


def _limits(drainage: Drainage, judging: Judging, start: Ints) -> list[Cell | None]:
    """The farthest a vent may be for the pipe that begins at each point, looked up once for each pipe."""
    net = drainage.net
    position = drainage.tree.via[start]
    run = np.where(net.kind[position] == EdgeKind.RUN, net.ref[position], -1)
    pipe = np.where(run >= 0, drainage.model.run_pipe[run], -1)
    told = {p: _limit(judging, p) for p in np.unique(pipe).tolist() if p >= 0}
    return [told.get(p) for p in pipe.tolist()]


def _limit(judging: Judging, pipe: int) -> Cell | None:
    table = judging.table("drainage", "trap_to_vent", "how far a vent may be from a trap")
    if table is None:
        return None
    name, size = judging.pipes[pipe].name, judging.pipes[pipe].size
    question = f"how far a vent may be from a trap in {name}"
    if size is None:
        judging.lack("drainage", f"trap_to_vent {name}", question, "its size cannot be read")
        return None
    try:
        found = table.first_not_less("size", size.in_metres(table.printed_units["size"]))
        return found.row.cell("distance")
    except NotInRules as reason:
        judging.lack("drainage", f"trap_to_vent {name}", question, str(reason))
        return None


def _too_far(
    drainage: Drainage, judging: Judging, n: int, vent: int, far_m: float, cell: Cell | None
) -> Finding:
    model = drainage.model
    node = int(drainage.fixtures.node[n])
    run = int(drainage.fixtures.run_at[drainage.fixtures.point("waste")[n]])
    name, place = model.placed.node_id(node), model.placed.node_id(int(model.placed.point_node[vent]))
    most = cell.number if cell else np.nan
    says = (
        f"{name} is {far_m:.2f} m along the drain from its vent at {place}; "
        f"{most:.2f} m is the most for its size ({cell.printed if cell else ''})."
    )
    return judging.finding(
        FAR_FROM_VENT,
        "drainage",
        node_place(model, node, int(model.run_system[run])),
        (name,),
        says,
        cell=cell,
        nodes=(node,),
        runs=(run,),
    )
