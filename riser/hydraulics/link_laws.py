# SPDX-License-Identifier: Apache-2.0
"""The head lost in every link of a network at once, and its derivative by the flow.

Where a law has no slope at rest (fittings, Hazen-Williams, curves) it is a straight line below a mean
velocity of 1 mm/s, for curves below their `small_flow_m3s`: without it a network without demand has no
unique flow.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from riser.hydraulics.devices import PowerCurve
from riser.hydraulics.friction import friction_number_and_slope, friction_number_at_4000
from riser.hydraulics.hazen_williams import EXPONENT, resistance_hazen_williams
from riser.hydraulics.pipe_network import LinkKind, PipeNetwork
from riser.hydraulics.quantity import FloatArray, IntArray

SLOWEST_MS = 1e-3
"""Mean velocity below which fittings and Hazen-Williams are straight lines [m/s]."""
_START_MS = 0.3


class LinkLaws:
    """Laws of all links of one network; what does not depend on the flow is worked out once."""

    def __init__(self, network: PipeNetwork) -> None:
        self._network = network
        self.at_rest_m = np.zeros(len(network.kind))
        self._prepare_friction()
        self._prepare_fittings()
        self._prepare_powers()
        self._prepare_flows()

    def loss_and_slope(self, flow_m3s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Head lost from start to end [m], with the sign of the flow, and its derivative [s/m2]."""
        size = np.abs(flow_m3s)
        within = np.maximum(size, self._slow_flow)
        loss = self._fittings * size * within
        slope = self._fittings * np.where(size < within, within, 2 * size)
        self._add_friction(size, loss, slope)
        self._add_powers(size, loss, slope)
        for places, curve in self._point_curves:
            more, steeper = curve.loss_and_slope(size[places])
            loss[places] += more
            slope[places] += steeper
        return self.at_rest_m + np.sign(flow_m3s) * loss, slope

    def reynolds(self, flow_m3s: FloatArray) -> FloatArray:
        """Reynolds number of the pipes with a roughness; NaN elsewhere."""
        result = np.full(len(flow_m3s), np.nan)
        result[self._rough] = np.abs(flow_m3s[self._rough]) * self._reynolds_per_flow
        return result

    def _prepare_friction(self) -> None:
        network = self._network
        pipes = network.kind == LinkKind.PIPE
        self._rough: IntArray = np.flatnonzero(pipes & ~np.isnan(network.roughness_m))
        at = self._rough
        viscosity = np.broadcast_to(np.asarray(network.kinematic_viscosity_m2s, float), pipes.shape)[at]
        bore, length = network.diameter_m[at], network.length_m[at]
        self._reynolds_per_flow: FloatArray = 4 / (np.pi * bore * viscosity)
        self._friction_scale: FloatArray = viscosity**2 * length / (2 * network.gravity_ms2 * bore**3)
        self._relative: FloatArray = network.roughness_m[at] / bore
        self._at_4000 = friction_number_at_4000(self._relative)

    def _prepare_fittings(self) -> None:
        network = self._network
        area = np.nan_to_num(network.area_m2, nan=1.0)
        coefficient = np.where(network.curve >= 0, 0.0, network.loss_coefficient)
        self._fittings: FloatArray = coefficient / (2 * network.gravity_ms2 * area**2)
        self._slow_flow: FloatArray = SLOWEST_MS * area

    def _prepare_powers(self) -> None:
        """Hazen-Williams pipes and power curves: loss = factor q^n, a straight line below `small`."""
        network = self._network
        pipes = np.flatnonzero((network.kind == LinkKind.PIPE) & ~np.isnan(network.hazen_williams_c))
        factor = resistance_hazen_williams(
            network.length_m[pipes], network.diameter_m[pipes], network.hazen_williams_c[pipes]
        )
        groups: list[tuple[Any, ...]] = [
            (pipes, factor, np.full(len(pipes), EXPONENT), self._slow_flow[pipes])
        ]
        self._point_curves = []
        for number, curve in enumerate(network.curves):
            places = np.flatnonzero(network.curve == number)
            self.at_rest_m[places] = curve.at_rest_m
            if isinstance(curve, PowerCurve):
                numbers = (curve.coefficient, curve.exponent, curve.small_flow_m3s)
                groups.append((places, *(np.full(len(places), n) for n in numbers)))
            else:
                self._point_curves.append((places, curve))
        columns = [np.concatenate(column) for column in zip(*groups, strict=True)]
        self._power: IntArray = columns[0].astype(np.int64)
        self._factor, self._exponent, self._small = columns[1:]

    def _prepare_flows(self) -> None:
        """A flow to start from, 0.3 m/s or a third of a curve's last flow, and where curves end [m3/s]."""
        network = self._network
        self.starting_flow_m3s: FloatArray = np.nan_to_num(_START_MS * network.area_m2)
        self.last_flow_m3s: FloatArray = np.full(len(network.kind), np.inf)
        for place in np.flatnonzero(network.curve >= 0):
            curve = network.curves[network.curve[place]]
            last = curve.last_flow_m3s
            self.last_flow_m3s[place] = last
            self.starting_flow_m3s[place] = last / 3 if np.isfinite(last) else curve.small_flow_m3s * 300

    def _add_friction(self, size: FloatArray, loss: FloatArray, slope: FloatArray) -> None:
        if not self._rough.size:
            return
        reynolds = size[self._rough] * self._reynolds_per_flow
        number, steepness = friction_number_and_slope(reynolds, self._relative, self._at_4000)
        loss[self._rough] += self._friction_scale * number
        slope[self._rough] += self._friction_scale * self._reynolds_per_flow * steepness

    def _add_powers(self, size: FloatArray, loss: FloatArray, slope: FloatArray) -> None:
        if not self._power.size:
            return
        flow = size[self._power]
        within = np.maximum(flow, self._small)
        chord = self._factor * within ** (self._exponent - 1)
        loss[self._power] += chord * flow
        slope[self._power] += chord * np.where(flow < within, 1.0, self._exponent)
