# SPDX-License-Identifier: Apache-2.0
"""Pressures of a building: in still water, at design load, in a fire, with named outlets open.

Words: a *head* is metres of water above datum; *still* or *static* is without flow, *flowing* at the design
load; a *basin* is pipework in which water levels out; a *zone* all that hangs on one supply, pump or reducing
valve; an outlet is *weak* where less pressure is left than it needs, *strong* where it stands above its
limit. All pressures are gauge and hold at the level of their point.
"""

from riser.pressures.building_pressures import BuildingPressures, OutletPressure, building_pressures
from riser.pressures.findings import findings, findings_of
from riser.pressures.kinds import KINDS
from riser.pressures.still_water import (
    StillWater,
    connection_pressures_pa,
    pressures_under_test_pa,
    still_water,
)
from riser.pressures.water_net import WaterNet, water_net

__all__ = [
    "KINDS",
    "BuildingPressures",
    "OutletPressure",
    "StillWater",
    "WaterNet",
    "building_pressures",
    "connection_pressures_pa",
    "findings",
    "findings_of",
    "pressures_under_test_pa",
    "still_water",
    "water_net",
]
