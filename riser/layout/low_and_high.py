# SPDX-License-Identifier: Apache-2.0
"""Whether risers can be drained at the bottom and let go of air at the top (S06, S07).

A riser is judged stretch by stretch between the valves that divide it. A stretch can be drained where a drain
cock or an outlet hangs on its lowest point, no valve between, and water on its way there need not rise far.
Air gets out of a riser where an air vent or an outlet hangs on its top, and air need not go down far.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.audit import COMMON_PRACTICE, Finding, FindingKind, Severity
from riser.layout.drainage import broken_joint_at, waiting_points
from riser.layout.judging import Judging
from riser.layout.supply import Supply
from riser.layout.valves import riser_words
from riser.network.risers import Riser
from riser.network.systems import System
from riser.network.types import Flags, Floats, Ints
from riser.network.where import level_words, node_place
from riser.rules import Cell

NO_DRAIN_COCK = FindingKind(
    "S06",
    "no drain cock at a low point",
    Severity.WARNING,
    COMMON_PRACTICE,
    "A stretch of riser between valves holds water that nothing at its low point lets out.",
    "Place a drain cock at the low point, above the valve.",
)
NO_AIR_VENT = FindingKind(
    "S07",
    "no air vent at a high point",
    Severity.WARNING,
    COMMON_PRACTICE,
    "Air gathers at the top of a riser and nothing there lets it out.",
    "Place an air vent at the high point.",
)
KINDS = (NO_DRAIN_COCK, NO_AIR_VENT)

# A cock may stand so far above the lowest point of a stretch, and what lets air out so far below the highest.
# Common practice, no source.
COCK_ABOVE_M = 0.5
VENT_BELOW_M = 0.5


@dataclass(frozen=True)
class _Ends:
    """What the checks ask at the ends of risers: joints that cannot be made, and stubs that wait."""

    broken: dict[int, int]
    waiting: frozenset[int]


def findings(supply: Supply, judging: Judging) -> list[Finding]:
    """S06 and S07."""
    if not supply.risers:
        return []
    ends = _Ends(broken_joint_at(supply.model), frozenset(waiting_points(supply.model).tolist()))
    return [*_low_points(supply, judging, ends), *_high_points(supply, judging, ends)]


def _levels(supply: Supply) -> Floats:
    """The level of each point."""
    placed = supply.model.placed
    levels: Floats = placed.node_xyz_m[placed.point_node, 2]
    return levels


def _stretches(supply: Supply, number: int) -> list[Ints]:
    """The points of a riser between its valves, from the feed. The pipe that only leads from the main to the
    valve at the foot belongs to the main and is left out.
    """
    points, edges = supply.from_feed(number)
    if not len(points):
        return []
    stretches = np.split(points, np.flatnonzero(supply.closing[edges]) + 1)
    if len(stretches) > 1 and not np.any(supply.live_degree[stretches[0]] > 2):
        stretches = stretches[1:]
    return stretches


def _low_points(supply: Supply, judging: Judging, ends: _Ends) -> list[Finding]:
    """S06."""
    model, level = supply.model, _levels(supply)
    undivided = supply.net.without(supply.closing)
    lets_out = np.zeros(supply.net.point_count, bool)
    lets_out[model.placed.point0[model.nodes_of_kind("drain_cock")]] = True
    lets_out[supply.outlets] = True
    found = []
    for number, riser in enumerate(supply.risers):
        for points in _stretches(supply, number):
            low = int(points[np.argmin(level[points])])
            below = level <= level[low] + COCK_ABOVE_M
            if low in ends.waiting or any(lets_out[point] for point in undivided.reach(low, below)):
                continue
            cell = judging.demand("supply", "drain_cock_at_low_point", "drain cocks at low points")
            if cell is None:
                return []
            found.append(_undrained(supply, judging, riser, low, ends, cell))
    return found


def _undrained(supply: Supply, judging: Judging, riser: Riser, low: int, ends: _Ends, cell: Cell) -> Finding:
    model = supply.model
    node = int(model.placed.point_node[low])
    name, level = model.placed.node_id(node), float(model.placed.node_xyz_m[node, 2])
    says = (
        f"{riser_words(supply, riser)} has no drain cock and no outlet within {COCK_ABOVE_M:.2f} m above "
        f"its low point {name} at {level_words(level)}."
    )
    return judging.finding(
        NO_DRAIN_COCK,
        "supply",
        node_place(model, node, int(riser.system)),
        (name,),
        says,
        cell=cell,
        because=_cause(supply, ends, low),
        nodes=(node,),
    )


def _cause(supply: Supply, ends: _Ends, point: int) -> str | None:
    joint = ends.broken.get(point)
    return None if joint is None else supply.model.joints.fault_key(joint)


def _high_points(supply: Supply, judging: Judging, ends: _Ends) -> list[Finding]:
    """S07. A hot return ends at the top of the hot riser and is vented with it."""
    model, level = supply.model, _levels(supply)
    vents = np.zeros(supply.net.point_count, bool)
    vents[model.placed.point0[model.nodes_of_kind("air_vent")]] = True
    vents[supply.outlets] = True
    found = []
    for number, riser in enumerate(supply.risers):
        if riser.system == System.HOT_RETURN or not len(supply.from_feed(number)[0]):
            continue
        top = int(riser.points[np.argmax(level[riser.points])])
        if top in ends.waiting or _is_vented(supply, level, vents, top):
            continue
        cell = judging.demand("supply", "air_vent_at_high_point", "air vents at high points")
        if cell is None:
            return []
        found.append(_unvented(supply, judging, riser, top, ends, cell))
    return found


def _unvented(supply: Supply, judging: Judging, riser: Riser, top: int, ends: _Ends, cell: Cell) -> Finding:
    model = supply.model
    node = int(model.placed.point_node[top])
    name, level = model.placed.node_id(node), float(model.placed.node_xyz_m[node, 2])
    says = (
        f"{riser_words(supply, riser)} has no air vent and no outlet within {VENT_BELOW_M:.2f} m below its "
        f"top {name} at {level_words(level)}."
    )
    return judging.finding(
        NO_AIR_VENT,
        "supply",
        node_place(model, node, int(riser.system)),
        (name,),
        says,
        cell=cell,
        because=_cause(supply, ends, top),
        nodes=(node,),
    )


def _is_vented(supply: Supply, level: Floats, vents: Flags, top: int) -> bool:
    """Whether air gets from the top of a riser to a vent or an outlet without going down far."""
    high = level >= level[top] - VENT_BELOW_M
    return any(vents[point] for point in supply.net.reach(top, high))
