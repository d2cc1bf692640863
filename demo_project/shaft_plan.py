# SPDX-License-Identifier: Apache-2.0
"""Where the risers stand in a shaft, which pipe each is, and at which height modules meet their neighbours.

Everything here is in the axes of the shaft module: x from -1.5 to 1.5 m, bathrooms beyond both ends, kitchens
beyond y = 2.4 m, the corridor before y = 0. Heights count from the floor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

SHAFT_WIDTH_M = 3.0
SHAFT_DEPTH_M = 2.4
SIDE_M = SHAFT_WIDTH_M / 2
GAP_M = 0.1
"""Clear space between neighbouring modules."""
COPPER_REACH_M = 0.04
"""How far copper stands out of a module's side, so that a slip coupling finds it."""
TRAY_REACH_M = 0.0475
"""How far trays stand out, so that their link plates meet."""
DRAIN_SLOPE = 0.02
SMALL_DRAIN_SLOPE = 0.025
VENT_SLOPE = 0.01


@dataclass(frozen=True)
class RiserPlan:
    """One riser: short name, system, pipe, place in the shaft [m], insulation [mm], whether water falls."""

    name: str
    system: str
    pipe: str
    at: tuple[float, float]
    insulation_mm: float = 0.0
    falls: bool = False


RISERS: tuple[RiserPlan, ...] = (
    RiserPlan("SS", "soil", "CI100", (0.0, 1.25), falls=True),
    RiserPlan("WS", "waste", "CI100", (0.0, 1.8), falls=True),
    RiserPlan("VS", "vent", "CI125", (0.3, 1.65), falls=True),
    RiserPlan("RW", "rainwater", "CI100", (-0.4, 1.85), falls=True),
    RiserPlan("CD", "condensate", "AB32", (0.45, 1.8), falls=True),
    RiserPlan("CW", "cold", "CU42", (-0.75, 0.85), insulation_mm=13),
    RiserPlan("HW", "hot", "CU54", (-0.75, 1.05), insulation_mm=25),
    RiserPlan("HR", "hot_return", "CU28", (-0.75, 1.35), insulation_mm=25, falls=True),
    RiserPlan("NP", "non_potable", "CU42", (-0.75, 1.45), insulation_mm=13),
    RiserPlan("FR", "fire", "ST100", (0.45, 0.55)),
    RiserPlan("EP", "power", "TR100", (1.25, 0.2)),
    RiserPlan("ED", "data", "CD50", (0.95, 0.15)),
)
AT = {riser.name: riser.at for riser in RISERS}
SYSTEM = {riser.name: riser.system for riser in RISERS}
INSULATION_MM = {riser.name: riser.insulation_mm for riser in RISERS}
DRAIN_RISERS = ("SS", "WS", "RW", "CD")
SUPPLY_RISERS = ("CW", "HW", "HR", "NP")

# Below the transfer floor the stacks stand elsewhere. Soil and waste grow in the transfer module, ahead of
# the offset; rainwater grows below it, in the joint to the shaft's foot.
BELOW_TRANSFER: dict[str, tuple[float, float]] = {"SS": (0.0, -0.25), "WS": (0.25, 0.1), "RW": (-0.4, 0.3)}
PIPE_BELOW_TRANSFER = {"SS": "CI150", "WS": "CI150", "RW": "CI125"}
PIPE_IN_OFFSET = {"SS": "CI150", "WS": "CI150", "RW": "CI100"}


@dataclass(frozen=True)
class Shaft:
    """The risers of a shaft and their pipes; `pipes`, `below` and `offset` say where a building needs others.

    `pipes` holds in the towers, `offset` in the transfer module, `below` under it.
    """

    pipes: Mapping[str, str] = field(default_factory=dict)
    offset: Mapping[str, str] = field(default_factory=dict)
    below: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def risers(self) -> tuple[RiserPlan, ...]:
        """All risers, each with its pipe in the towers."""
        return tuple(replace(riser, pipe=self.pipes.get(riser.name, riser.pipe)) for riser in RISERS)

    def riser(self, name: str) -> RiserPlan:
        """The riser of that name."""
        return next(riser for riser in self.risers if riser.name == name)

    def pipe_in_offset(self, name: str) -> str:
        """The pipe in which a stack moves sideways."""
        standard = PIPE_IN_OFFSET.get(name, self.riser(name).pipe)
        return self.offset.get(name, standard)

    def pipe_below(self, name: str) -> str:
        """The pipe of a riser under the transfer floor."""
        standard = PIPE_BELOW_TRANSFER.get(name, self.riser(name).pipe)
        return self.below.get(name, standard)


STANDARD_SHAFT = Shaft()
RISER_NAMES = tuple(riser.name for riser in RISERS)


def at_below(name: str) -> tuple[float, float]:
    """The place of a riser under the transfer floor."""
    return BELOW_TRANSFER.get(name, AT[name])


# Heights at which neighbours meet.
SOIL_FACE_M = 0.4
WASTE_FACE_M = 0.42
BATH_VENT_FACE_M = 1.77
KITCHEN_VENT_FACE_M = 2.0
CONDENSATE_FACE_M = 2.3
NON_POTABLE_FACE_M = 1.95
COLD_FACE_M = 2.1
HOT_FACE_M = 2.25
SPRINKLER_FACE_M = 2.4
DATA_FACE_M = 2.6
POWER_FACE_M = 2.8

# Where along the face neighbours meet: y on the bathroom side, x on the kitchen side (left is negative).
SOIL_Y, BATH_VENT_Y, COLD_Y, HOT_Y, NON_POTABLE_Y = 1.25, 1.65, 0.85, 1.05, 1.45
WASTE_X, KITCHEN_VENT_X, CONDENSATE_X, COLD_X, HOT_X, POWER_X = 0.25, 0.55, 0.75, 1.25, 1.05, 1.4

# Lower ends of the risers in a shaft module, and the heights of the mains under the podium's ceiling.
BOTTOM_M = 0.1
MAINS_LEVEL_M = {"CW": 2.7, "HW": 2.8, "HR": 2.6, "NP": 2.5, "FR": 2.4}


def top_m(system: str, storey_m: float) -> float:
    """The upper end of a riser in a shaft module: copper and steel reach a little higher than iron."""
    return storey_m - {"fire": 0.27}.get(system, 0.25 if system in COPPER_SYSTEMS else 0.3)


COPPER_SYSTEMS = ("cold", "hot", "hot_return", "non_potable")
