# SPDX-License-Identifier: Apache-2.0
"""How high the line has to stand for each connection, and where the top of the system is exempt."""

from __future__ import annotations

import numpy as np

from riser.errors import NotInRules
from riser.hydraulics.static_head import head_of_pressure
from riser.network.types import Flags, Floats, Ints
from riser.proving.section_cover import Cells, highest_standing_m, stands_at_the_top
from riser.proving.section_pipework import WATER_KGM3, Pipework
from riser.proving.section_rules import PlannedTest
from riser.rules import Rules


def asked_head_m(test: PlannedTest) -> float:
    """What is asked as a head of water [m]."""
    return float(head_of_pressure(test.asked_pa, WATER_KGM3)) if np.isnan(test.head_m) else test.head_m


def demands(
    pipes: Pipework, mine: Ints, test: PlannedTest, rules: Rules, *, complete: bool
) -> tuple[Floats, Flags]:
    """The line each connection needs [m], and which need only the top of the finished system.

    The exemption exists where the rule set states a refill height, only when nothing is to be built above,
    and only where the open top itself, not a rating, keeps the water from standing higher.
    """
    joined = pipes.connections
    demand = joined.level_m[mine] + asked_head_m(test)
    at_top = np.zeros(len(mine), bool)
    if not complete or test.at_low_point or not _has_exempt_top(rules):
        return demand, at_top
    exempt = rules.subject("tests").limit("drain_test_refill_height").number
    cells = cells_for(pipes, mine, demand)
    highest = {int(c): highest_standing_m(cells, int(c)) for c in np.unique(cells.place_cell)}
    for n, (cell, level) in enumerate(zip(cells.place_cell.tolist(), joined.level_m[mine], strict=True)):
        top = highest[cell]
        if level <= top < demand[n] and top - level <= exempt and stands_at_the_top(cells, cell, top):
            demand[n], at_top[n] = top, True
    return demand, at_top


def _has_exempt_top(rules: Rules) -> bool:
    if not rules.has("tests"):
        return False
    try:
        rules.subject("tests").limit("drain_test_refill_height")
    except NotInRules:
        return False
    return True


def cells_for(pipes: Pipework, mine: Ints, demand: Floats) -> Cells:
    """The pipework as the planner sees it."""
    a, b = pipes.cut_cells
    return Cells(
        limit=pipes.line_limit_m,
        reach=pipes.reach_m,
        cut_a=a,
        cut_b=b,
        cut_limit=np.full(len(a), np.inf),
        place_cell=pipes.connection_cell[mine],
        demand=demand,
    )
