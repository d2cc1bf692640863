# SPDX-License-Identifier: Apache-2.0
"""Whether the pipework as drawn can work: falls, sizes and ways of drains, vents, supply and fire water.

Words: a *stack* is a soil or waste riser; its *foot* is where it turns into a drain more nearly level. A
*piece* is pipework that hangs together. A *blind* end is one that nothing leads on from. A *ring* is pipework
that leads back to itself. The *feed* of a riser is the end at which water comes in.
"""

from __future__ import annotations

from riser.audit import Finding, FindingKind
from riser.layout import (
    clearance,
    dead_legs,
    drain_falls,
    drain_sizes,
    drain_ways,
    fire_risers,
    judging,
    low_and_high,
    lowest_branches,
    stack_feet,
    stack_tops,
    supply_as_meant,
    supply_ways,
    valves,
    vent_paths,
)
from riser.layout.drainage import Drainage
from riser.layout.supply import Supply
from riser.layout.venting import Venting
from riser.network.model import Model
from riser.rules import Rules

KINDS: tuple[FindingKind, ...] = (
    *drain_falls.KINDS,
    *drain_sizes.KINDS,
    *drain_ways.KINDS,
    *stack_tops.KINDS,
    *stack_feet.KINDS,
    *vent_paths.KINDS,
    *supply_ways.KINDS,
    *dead_legs.KINDS,
    *valves.KINDS,
    *low_and_high.KINDS,
    *fire_risers.KINDS,
    *clearance.KINDS,
    *judging.KINDS,
)


def findings(model: Model, rules: Rules) -> list[Finding]:
    """Every fault in the layout of the pipework, and what the rules in force leave unjudged (M03)."""
    asked = judging.Judging(model, rules)
    drains, supply = Drainage(model), Supply(model)
    found: list[Finding] = []
    if len(drains.net.edge) or len(drains.fixtures.node):
        asked.has_set("drainage", "the layout of drains")
        venting = Venting(drains, asked)
        found += drain_falls.findings(drains, asked)
        found += drain_sizes.findings(drains, asked)
        found += drain_ways.findings(drains, asked)
        found += stack_tops.findings(drains, venting, asked)
        feet = stack_feet.findings(drains, asked)
        # A branch into an offset may break both rules; it is one fault.
        told = {finding.key for finding in feet}
        low = lowest_branches.findings(drains, venting, asked)
        found += [*feet, *(finding for finding in low if finding.key not in told)]
        found += vent_paths.findings(drains, venting, asked)
    cut = supply_ways.without_source(supply, asked)
    found += [*supply_ways.tied_waters(model, asked), *cut.findings]
    if len(supply.net.edge):
        asked.has_set("supply", "the layout of supply pipework")
        found += supply_as_meant.findings(supply, asked, cut)
    found += fire_risers.findings(model, asked)
    found += clearance.findings(model, asked)
    return [*found, *asked.lacks.values()]


__all__ = ["KINDS", "findings"]
