# SPDX-License-Identifier: Apache-2.0
"""Pressure budget: from the supply along the way of the water, minus what every pipe and device uses up.

Each pipe loses what its own design flow costs. A pump adds its gain and a supply gives its pressure at their
design flow; a reducing valve holds its setting where enough is left before it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.hydraulics.fittings import head_loss_of_fitting
from riser.hydraulics.friction import (
    friction_factor,
    head_loss_darcy,
    mean_velocity,
    reynolds_number,
)
from riser.hydraulics.static_head import head_of_pressure, pressure_below_head
from riser.network.types import Floats
from riser.pressures.still_water import StillWater
from riser.pressures.water_net import DENSITY_KGM3, Role, WaterNet
from riser.units import STANDARD_GRAVITY_MS2

REST_M3S = 1e-9


@dataclass(frozen=True)
class Budget:
    """Heads at design load: at every point [m above datum, NaN without supply], with the loss and velocity of
    the link that leads to it and its flow.
    """

    still: StillWater
    flow_m3s: Floats
    loss_m: Floats
    velocity_ms: Floats
    head_m: Floats

    @property
    def pressure_pa(self) -> Floats:
        """Flowing gauge pressure at every point at its own level."""
        pressure: Floats = pressure_below_head(
            self.head_m, self.still.net.level_m, DENSITY_KGM3, STANDARD_GRAVITY_MS2
        )
        return pressure


def pressure_budget(still: StillWater, flow_m3s: Floats) -> Budget:
    """The budget for a flow in the link that leads to each point."""
    net, way = still.net, still.way
    loss, velocity = np.zeros(len(flow_m3s)), np.zeros(len(flow_m3s))
    at = np.flatnonzero((way.link >= 0) & (flow_m3s > REST_M3S))
    if len(at):
        velocity[at], loss[at] = link_losses(net, way.link[at], flow_m3s[at])
    heads = [float("nan")] * len(flow_m3s)
    before, links, losses = way.before.tolist(), way.link.tolist(), loss.tolist()
    special = np.isin(net.role, [Role.REDUCING, Role.PUMP]).tolist()
    for point in way.order.tolist():
        link = links[point]
        if link < 0:
            heads[point] = _supply_head(still, point, float(flow_m3s[point]))
            continue
        head = heads[before[point]] - losses[point]
        heads[point] = _device_head(net, link, head, float(flow_m3s[point])) if special[link] else head
    return Budget(still, flow_m3s, loss, velocity, np.array(heads))


def link_losses(net: WaterNet, link: np.ndarray, flow_m3s: Floats) -> tuple[Floats, Floats]:
    """Mean velocity [m/s] and head lost [m] of links at their flows: friction and fittings."""
    bore = net.bore_m[link]
    velocity = mean_velocity(flow_m3s, bore)
    reynolds = reynolds_number(velocity, bore, net.viscosity_m2s[link])
    factor = friction_factor(reynolds, net.roughness_m[link] / bore)
    friction = head_loss_darcy(factor, net.length_m[link], bore, velocity)
    return velocity, friction + head_loss_of_fitting(net.fittings[link], velocity)


def _supply_head(still: StillWater, point: int, flow_m3s: float) -> float:
    supply = next(s for s in still.net.devices.supplies if s.point == point)
    pressure = supply.static_pa
    if supply.curve is not None:
        pressure -= max(supply.curve.at_rest_pa - supply.curve.at_flow_pa(flow_m3s), 0.0)
    return still.net.head_m(pressure, supply.level_m)


def _device_head(net: WaterNet, link: int, head_m: float, flow_m3s: float) -> float:
    if net.role[link] == Role.REDUCING:
        return min(head_m, net.setting_head_m(link))
    curve = net.devices.curves[net.devices.by_node[net.device_of(link)].curve]
    return head_m + float(head_of_pressure(curve.at_flow_pa(flow_m3s), DENSITY_KGM3))
