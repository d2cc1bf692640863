# SPDX-License-Identifier: Apache-2.0
"""Fire water at its design flow: which hose valves are open at once, and how much each gives.

The rule set states flows per outlet, per standpipe and for the whole; the outlets farthest from the supply
along the pipes are opened first. A set without these figures leaves the demand for the engineer to state.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from riser.errors import NotInRules
from riser.network.risers import risers
from riser.network.systems import System
from riser.pressures.outlets import Outlet
from riser.pressures.still_water import StillWater
from riser.rules import Rules, RuleSet

CAPS = ("flow_cap_sprinklered", "flow_cap_not_sprinklered")
SHARE = 1e-9


def fire_demand(still: StillWater, outlets: list[Outlet], rules: Rules) -> dict[int, float]:
    """The flow [m3/s] by point of the hose valves open at once; empty without fire outlets that are supplied.

    Raises NotInRules where the rule set for fire states no such flows.
    """
    far = [o for o in outlets if o.kind == "hose_valve" and np.isfinite(still.way.distance_m[o.point])]
    if not far:
        return {}
    rule_set = rules.subject("fire")
    each, first, further = (
        rule_set.limit(name).number
        for name in ("flow_per_outlet", "flow_most_remote_standpipe", "flow_further_standpipe")
    )
    cap = _cap(still, rule_set)
    found: dict[int, float] = {}
    for number, standpipe in enumerate(_by_remoteness(still, far)):
        share = first if number == 0 else further
        for outlet in standpipe:
            flow = min(each, share, cap)
            if flow <= SHARE:
                break
            found[outlet.point] = flow
            share, cap = share - flow, cap - flow
    return found


def _cap(still: StillWater, rule_set: RuleSet) -> float:
    design = still.net.model.placed.tables.settings.get("design", {})
    chosen: Mapping[str, Any] = design.get(rule_set.id, {}) if isinstance(design, Mapping) else {}
    try:
        return rule_set.limit(CAPS[0] if chosen.get("sprinklered", False) else CAPS[1]).number
    except NotInRules:
        return float("inf")


def _by_remoteness(still: StillWater, outlets: list[Outlet]) -> list[list[Outlet]]:
    """Hose valves by standpipe, farthest first; standpipes by their farthest valve."""
    standpipe_at: dict[int, int] = {}
    for number, riser in enumerate(risers(still.net.model, System.FIRE)):
        for point in riser.points.tolist():
            standpipe_at.setdefault(point, number)
    groups: dict[int, list[Outlet]] = {}
    for outlet in outlets:
        path = reversed(still.way.path(outlet.point))
        number = next((standpipe_at[p] for p in path if p in standpipe_at), -1)
        groups.setdefault(number, []).append(outlet)
    distance = still.way.distance_m
    for group in groups.values():
        group.sort(key=lambda o: (-float(distance[o.point]), o.point))
    return sorted(groups.values(), key=lambda g: (-float(distance[g[0].point]), g[0].point))
