# SPDX-License-Identifier: Apache-2.0
"""The pressures of a building in one place: still, at design load, in a fire, with outlets open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from riser.errors import NotInRules, RiserError
from riser.network.model import Model
from riser.pressures.budget import Budget, pressure_budget
from riser.pressures.design_load import DesignLoad, design_load
from riser.pressures.draw_off import DrawOff, draw_off
from riser.pressures.fire_demand import fire_demand
from riser.pressures.outlets import Limits, Outlet, limits_by_outlet, outlets_of
from riser.pressures.still_water import StillWater, still_water
from riser.pressures.water_net import water_net
from riser.rules import Rules


@dataclass(frozen=True)
class OutletPressure:
    """What stands at one outlet; gauge pressures at its level [Pa], NaN for what is not known.

    `flowing_pa` is what is left at design load (for hose valves: with the fire demand flowing, at those open
    in it), `drawn_pa` while the outlets named on the command line are open. `zone` is -1 without supply.
    """

    outlet: Outlet
    limits: Limits
    level_m: float
    static_pa: float
    flowing_pa: float
    drawn_pa: float
    flow_m3s: float
    zone: int

    @property
    def shortage_pa(self) -> float:
        """How much pressure is lacking while it flows; negative where there is some to spare."""
        return self.limits.least_flowing_pa - self.flowing_pa

    @property
    def excess_pa(self) -> float:
        """How far the still pressure is above its limit; negative where it is below."""
        return self.static_pa - self.limits.most_static_pa


@dataclass(frozen=True)
class BuildingPressures:
    """The pressures of a model under the rules in force; each part is worked out when first asked for.

    `open_m3s` are the outlets that a person opens: flow by point.
    """

    model: Model
    rules: Rules
    open_m3s: Mapping[int, float]

    @cached_property
    def still(self) -> StillWater:
        """Still water."""
        return still_water(water_net(self.model))

    @cached_property
    def outlets(self) -> list[Outlet]:
        """All outlets to which a pipe leads."""
        return outlets_of(self.still.net, self.rules)

    @cached_property
    def lacks(self) -> list[tuple[str, str]]:
        """What could not be worked out, and why, each once."""
        found = []
        if not self.still.net.devices.supplies:
            found.append(("pressures", "supplies.csv states no supply with a pressure"))
        for question, answer in (
            ("design load", self._load),
            ("fire demand", self._fire),
            ("named outlets", self._drawn),
        ):
            if isinstance(answer, str) and answer:
                found.append((question, answer))
        found += [("design load", lack) for lack in (self.load.lacks if self.load else ())]
        for node in self.unset_valves:
            found.append((self.model.placed.node_id(node), "this reducing valve has no setting"))
        return found

    @cached_property
    def unset_valves(self) -> list[int]:
        """Reducing valves of which nobody says what they are set to; they count as fully open."""
        devices = self.still.net.devices.by_node.values()
        return [d.node for d in devices if d.kind == "reducing_valve" and np.isnan(d.setting_pa)]

    @cached_property
    def _load(self) -> DesignLoad | str:
        try:
            points = len(self.model.placed.point_node)
            return design_load(self.rules.subject("supply"), self.still.way, self.outlets, points)
        except NotInRules as error:
            return str(error)

    @property
    def load(self) -> DesignLoad | None:
        """The design load; None where the rules leave it open."""
        return None if isinstance(self._load, str) else self._load

    @cached_property
    def budget(self) -> Budget | None:
        """Pressures at design load; None where there is none, or a pipe carries more than the tables hold."""
        return None if self.load is None else pressure_budget(self.still, self.load.flow_m3s)

    @cached_property
    def _fire(self) -> DrawOff | str:
        try:
            flows = fire_demand(self.still, self.outlets, self.rules)
            return draw_off(self.still.net, flows) if flows else ""
        except RiserError as error:
            return str(error)

    @property
    def fire(self) -> DrawOff | None:
        """Pressures with the fire demand flowing; None where there is none."""
        return None if isinstance(self._fire, str) else self._fire

    @cached_property
    def _drawn(self) -> DrawOff | str:
        if not self.open_m3s:
            return ""
        try:
            return draw_off(self.still.net, self.open_m3s)
        except RiserError as error:
            return str(error)

    @property
    def drawn(self) -> DrawOff | None:
        """Pressures with the named outlets open; None where none is named."""
        return None if isinstance(self._drawn, str) else self._drawn

    @cached_property
    def rows(self) -> list[OutletPressure]:
        """Every outlet: by building, from the top floor down, then by name and port."""
        placed = self.model.placed
        order = {port: n for n, port in enumerate(("cold", "hot", "non_potable", "waste", ""))}

        def place(row: OutletPressure) -> tuple[str, float, str, int]:
            floor = int(placed.node_floor[row.outlet.node])
            name = placed.node_id(row.outlet.node)
            return (
                str(placed.floors.building[floor]),
                -float(placed.floors.order[floor]),
                name,
                order[row.outlet.port],
            )

        limits = limits_by_outlet(self.still.net, self.outlets, self.rules)
        return sorted((self._row(*pair) for pair in zip(self.outlets, limits, strict=True)), key=place)

    def _row(self, outlet: Outlet, limits: Limits) -> OutletPressure:
        point, still = outlet.point, self.still
        flowing, flow = self._flowing(outlet)
        drawn = float(self.drawn.pressure_pa[point]) if self.drawn else float("nan")
        return OutletPressure(
            outlet,
            limits,
            float(still.net.level_m[point]),
            float(still.pressure_pa[point]),
            flowing,
            drawn,
            flow,
            int(still.zone[point]),
        )

    def _flowing(self, outlet: Outlet) -> tuple[float, float]:
        """Flowing pressure and flow of an outlet."""
        point = outlet.point
        if outlet.is_fire:
            open_now = self.fire is not None and point in self.fire.open_m3s
            if not open_now or self.fire is None:
                return float("nan"), 0.0
            return float(self.fire.pressure_pa[point]), self.fire.open_m3s[point]
        if self.budget is None:
            return float("nan"), float("nan")
        return float(self.budget.pressure_pa[point]), float(self.budget.flow_m3s[point])

    def zone_name(self, zone: int) -> str:
        """The node that gives a zone its pressure; "-" without supply."""
        return self.model.placed.node_id(self.still.zones[zone].node) if zone >= 0 else "-"

    def zone_words(self, zone: int) -> str:
        """A zone as people say it."""
        if zone < 0:
            return "no supply"
        found = self.still.zones[zone]
        name = self.model.placed.node_id(found.node)
        if found.supply is not None:
            return f"{found.supply.kind.replace('_', ' ')} {name}"
        kind = self.still.net.devices.by_node[found.node].kind.replace("_", " ")
        return f"behind {kind} {name}"


def building_pressures(
    model: Model, rules: Rules, open_m3s: Mapping[int, float] | None = None
) -> BuildingPressures:
    """The pressures of a building, with these outlets open if any are named (flow [m3/s] by point)."""
    return BuildingPressures(model, rules, open_m3s or {})
