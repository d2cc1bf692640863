# SPDX-License-Identifier: Apache-2.0
"""Devices by their curve: pumps, mains by flow test, meters, backflow preventers.

A curve says the head lost through a device at a flow. A pump loses a negative head. All curves here rise with
the flow (a pump's head falls): where a maker's curve does not, two flows would fit one head, and the curve is
refused with a sentence. Near zero flow, below `small_flow_m3s`, a curve is a straight line.

Reducing valves and check valves need no curve: they are links of `pipe_network`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np
from scipy.interpolate import PchipInterpolator

from riser.audit import formula
from riser.errors import RiserError
from riser.hydraulics.quantity import FloatArray, Quantity

FLOW_TEST = (
    "p = p_static - k Q^1.85, straight line on Q^1.85 paper; as used for hydrant flow tests (NFPA 291)"
)
AFFINITY = "affinity laws of a centrifugal pump at constant efficiency"
_SMALL = 1e-3
_TILT_M = 1e-3


class UnusableCurve(RiserError):
    """Points that make no curve; the sentence says which and what to give instead."""


class Curve(Protocol):
    """The head lost through a device over the flow through it, for flows of zero and more."""

    @property
    def at_rest_m(self) -> float:
        """Head lost at zero flow [m]: minus the shut-off head of a pump, the opening head of a preventer."""

    @property
    def small_flow_m3s(self) -> float:
        """Below this flow the curve is a straight line [m3/s]."""

    @property
    def last_flow_m3s(self) -> float:
        """Beyond this flow the curve is only extended [m3/s]; infinite for a law."""

    def loss_and_slope(self, flow_m3s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Head lost above `at_rest_m` [m] and its derivative [s/m2] at flows of zero and more."""


@dataclass(frozen=True, slots=True)
class PowerCurve:
    """loss = at_rest + coefficient * flow ** exponent.

    The straight line near zero flow ends at a thousandth of the flow at which the loss has grown by the head
    at rest (by 1 m where there is none), which moves no head by more than a millimetre in a thousand metres.
    """

    at_rest_m: float
    coefficient: float
    exponent: float = 2.0
    last_flow_m3s: float = float("inf")

    def __post_init__(self) -> None:
        if not (self.coefficient > 0 and self.exponent >= 1 and np.isfinite(self.at_rest_m)):
            raise UnusableCurve(
                f"a curve needs a coefficient above 0 and an exponent of 1 or more; "
                f"this one has {self.coefficient:g} and {self.exponent:g}"
            )

    @property
    def small_flow_m3s(self) -> float:
        """End of the straight line near zero flow [m3/s]."""
        scale = abs(self.at_rest_m) or 1.0
        return float(_SMALL * (scale / self.coefficient) ** (1 / self.exponent))

    def loss_and_slope(self, flow_m3s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Head lost above `at_rest_m` [m] and its derivative [s/m2]."""
        within = np.maximum(flow_m3s, self.small_flow_m3s)
        chord = self.coefficient * within ** (self.exponent - 1)
        return chord * flow_m3s, chord * np.where(flow_m3s < within, 1.0, self.exponent)


@dataclass(frozen=True, slots=True)
class PointCurve:
    """A maker's points, joined by a smooth monotone curve through each of them.

    Beyond the last point the curve goes on straight. Level stretches are tilted by one millimetre of head
    over the whole curve, so that one head means one flow.
    """

    flow_m3s: tuple[float, ...]
    loss_m: tuple[float, ...]
    _through: PchipInterpolator = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        flow, loss = np.asarray(self.flow_m3s, dtype=float), np.asarray(self.loss_m, dtype=float)
        if len(flow) != len(loss) or len(flow) < 2:
            raise UnusableCurve(f"a curve needs two points or more, each a flow and a head; got {len(flow)}")
        if not (np.all(np.isfinite(flow)) and np.all(np.isfinite(loss))):
            raise UnusableCurve("a curve has a flow or a head that is not a number")
        if flow[0] != 0 or np.any(np.diff(flow) <= 0):
            raise UnusableCurve("the flows of a curve start at 0 and rise from point to point")
        if np.any(np.diff(loss) < 0):
            place = int(np.argmin(np.diff(loss)))
            raise UnusableCurve(
                f"between {flow[place]:g} and {flow[place + 1]:g} m3/s the curve turns back (a pump's head "
                f"must fall, a loss must rise with the flow); give only its steady part, level before it"
            )
        if np.any(np.diff(loss) == 0):
            loss = loss + _TILT_M * flow / flow[-1]
        object.__setattr__(self, "_through", PchipInterpolator(flow, loss - loss[0]))

    @property
    def at_rest_m(self) -> float:
        """Head lost at zero flow [m]."""
        return float(self.loss_m[0])

    @property
    def small_flow_m3s(self) -> float:
        """A thousandth of the last flow [m3/s]."""
        return _SMALL * self.last_flow_m3s

    @property
    def last_flow_m3s(self) -> float:
        """The flow of the last point [m3/s]."""
        return float(self.flow_m3s[-1])

    def loss_and_slope(self, flow_m3s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Head lost above `at_rest_m` [m] and its derivative [s/m2]."""
        small, last = self.small_flow_m3s, self.last_flow_m3s
        inside = np.clip(flow_m3s, small, last)
        loss = np.asarray(self._through(inside), dtype=float)
        slope = np.asarray(self._through(inside, 1), dtype=float)
        # A curve that ends level is carried on with its last chord: a flat extension would fit any flow.
        beyond = np.maximum(slope, (loss / inside) * 0.1)
        loss_beyond = loss + beyond * (flow_m3s - last)
        near_rest = loss / inside
        loss = np.where(flow_m3s > last, loss_beyond, np.where(flow_m3s < small, near_rest * flow_m3s, loss))
        slope = np.where(flow_m3s > last, beyond, np.where(flow_m3s < small, near_rest, slope))
        return loss, slope


def pump_curve(flow_m3s: Sequence[float], head_m: Sequence[float]) -> PointCurve:
    """The curve of a pump from points of flow and head, the first at zero flow.

    >>> curve = pump_curve((0.0, 0.01, 0.02), (50.0, 45.0, 30.0))
    >>> f"{pump_head(curve, 0.01):.1f} m"
    '45.0 m'
    """
    return PointCurve(tuple(float(q) for q in flow_m3s), tuple(-float(h) for h in head_m))


def fitted_pump_curve(
    flow_m3s: Sequence[float], head_m: Sequence[float], exponent: float = 2.0
) -> PowerCurve:
    """The curve h = h0 - a Q^n that fits three points or more best (least squares), or two exactly."""
    flow, head = np.asarray(flow_m3s, dtype=float), np.asarray(head_m, dtype=float)
    if len(flow) < 2 or len(flow) != len(head):
        raise UnusableCurve(f"a pump curve needs two points or more, each a flow and a head; got {len(flow)}")
    unknowns = np.column_stack([np.ones_like(flow), -(flow**exponent)])
    shut_off, coefficient = np.linalg.lstsq(unknowns, head, rcond=None)[0]
    return PowerCurve(-float(shut_off), float(coefficient), exponent, float(flow.max()))


def pump_head(curve: Curve, flow_m3s: float) -> float:
    """Head a pump adds at a flow [m]."""
    loss, _ = curve.loss_and_slope(np.array([float(flow_m3s)]))
    return float(-curve.at_rest_m - loss[0])


def mains_curve(static_head_m: float, residual_head_m: float, test_flow_m3s: float) -> PowerCurve:
    """The loss between still mains and the tested hydrant or connection, from one flow test.

    Connect a fixed head of `static_head_m` through a device with this curve. The exponent is 1.85.

    >>> curve = mains_curve(50.0, 40.0, 0.02)
    >>> f"{50.0 - curve.loss_and_slope(np.array([0.02]))[0][0]:.1f} m"
    '40.0 m'
    """
    drop = static_head_m - residual_head_m
    if not (drop > 0 and test_flow_m3s > 0):
        raise UnusableCurve(
            f"a flow test needs a flow above 0 and a residual head below the static one; got "
            f"{test_flow_m3s:g} m3/s, static {static_head_m:g} m, residual {residual_head_m:g} m"
        )
    return PowerCurve(0.0, drop / test_flow_m3s**1.85, 1.85)


@formula(
    "flow_m3s = test_flow_m3s * ((static_pa - wanted_pa) / (static_pa - residual_pa)) ** 0.54",
    unit="m3/s",
    basis=FLOW_TEST,
    domain={"static_pa": (5e5, 8e5), "residual_pa": (3e5, 4e5), "wanted_pa": (1e5, 2e5)},
)
def mains_flow_available(
    test_flow_m3s: Quantity, static_pa: Quantity, residual_pa: Quantity, wanted_pa: Quantity
) -> Quantity:
    """Flow available from mains at a wanted residual pressure [m3/s], from one flow test."""
    return test_flow_m3s * ((static_pa - wanted_pa) / (static_pa - residual_pa)) ** 0.54


@formula("flow_m3s = rated_flow_m3s * speed / rated_speed", unit="m3/s", basis=AFFINITY)
def pump_flow_at_speed(rated_flow_m3s: Quantity, rated_speed: Quantity, speed: Quantity) -> Quantity:
    """Flow of a pump at another speed [m3/s], at the corresponding point of its curve."""
    return rated_flow_m3s * speed / rated_speed


@formula("head_m = rated_head_m * (speed / rated_speed) ** 2", unit="m", basis=AFFINITY)
def pump_head_at_speed(rated_head_m: Quantity, rated_speed: Quantity, speed: Quantity) -> Quantity:
    """Head of a pump at another speed [m], at the corresponding point of its curve."""
    return rated_head_m * (speed / rated_speed) ** 2


@formula(
    "power_w = density_kgm3 * gravity_ms2 * flow_m3s * head_m / efficiency",
    unit="W",
    basis="rate of work on the water, divided by efficiency",
)
def pump_power(
    flow_m3s: Quantity, head_m: Quantity, efficiency: Quantity, density_kgm3: Quantity, gravity_ms2: Quantity
) -> Quantity:
    """Shaft power of a pump [W]."""
    return density_kgm3 * gravity_ms2 * flow_m3s * head_m / efficiency
