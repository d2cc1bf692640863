# SPDX-License-Identifier: Apache-2.0
"""Friction in a full pipe: Darcy-Weisbach with the laminar law, Colebrook's law, and a bridge between them.

Below a Reynolds number of 2000 the flow is taken as laminar, above 4000 as turbulent by Colebrook and White.
Between them neither law holds and real pipes jump about. There the head loss is drawn as a straight line over
the flow, from the one law's value at 2000 to the other's at 4000: it rises with the flow everywhere, so a
network has one answer. `friction_factor_range` says what the two laws alone would give.

Colebrook's equation is solved by three Newton steps from Haaland's approximation, which is exact to rounding.
"""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import FloatArray, Quantity
from riser.units import STANDARD_GRAVITY_MS2

LAMINAR_BELOW = 2000.0
TURBULENT_ABOVE = 4000.0
GREATEST_RELATIVE_ROUGHNESS = 0.05
"""Moody's chart ends here; a rougher pipe is outside the range of Colebrook's law."""

DARCY = "Darcy-Weisbach; Moody 1944, Friction factors for pipe flow, Trans. ASME 66"
COLEBROOK = "Colebrook 1939, J. Inst. Civ. Eng. 11, eq. for the transition region of turbulent flow"
BRIDGE = "own convention: head loss linear in the flow for 2000 < Re < 4000, where no law holds"

_ROUGHNESS_RANGE = {"relative_roughness": (0.0, GREATEST_RELATIVE_ROUGHNESS)}
_LOG10_SLOPE = 2.0 / np.log(10.0)

_HAALAND = "x = -1.8 * log10((relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds)"
_NEWTON = (
    "y = relative_roughness / 3.7 + 2.51 * x / reynolds; "
    "x = x - (x + 2 * log10(y)) / (1 + 2 / log(10) * 2.51 / reynolds / y)"
)


@formula("velocity_ms = flow_m3s / (pi / 4 * diameter_m ** 2)", unit="m/s", basis="continuity")
def mean_velocity(flow_m3s: Quantity, diameter_m: Quantity) -> Quantity:
    """Mean velocity in a full pipe [m/s].

    >>> f"{mean_velocity(0.002, 0.05):.3f}"
    '1.019'
    """
    return flow_m3s / (np.pi / 4 * diameter_m**2)


@formula(
    "reynolds = velocity_ms * diameter_m / kinematic_viscosity_m2s",
    unit="",
    basis="definition",
    domain={"kinematic_viscosity_m2s": (2e-7, 2e-6)},
)
def reynolds_number(
    velocity_ms: Quantity, diameter_m: Quantity, kinematic_viscosity_m2s: Quantity
) -> Quantity:
    """Reynolds number of a full pipe [-]."""
    return velocity_ms * diameter_m / kinematic_viscosity_m2s


@formula(
    "factor = 64 / reynolds",
    unit="",
    basis="Hagen-Poiseuille law",
    valid={"reynolds": (0.0, LAMINAR_BELOW)},
    domain={"reynolds": (1.0, LAMINAR_BELOW)},
)
def laminar_friction_factor(reynolds: Quantity) -> Quantity:
    """Darcy friction factor of laminar flow [-]."""
    return 64 / reynolds


@formula(
    f"{_HAALAND}; {_NEWTON}; {_NEWTON}; {_NEWTON}; factor = 1 / x ** 2",
    unit="",
    basis=COLEBROOK,
    valid={"reynolds": (TURBULENT_ABOVE, 1e8), **_ROUGHNESS_RANGE},
)
def turbulent_friction_factor(reynolds: Quantity, relative_roughness: Quantity) -> Quantity:
    """Darcy friction factor by Colebrook's law [-].

    >>> f"{turbulent_friction_factor(1e5, 1e-4):.4f}"
    '0.0185'
    """
    return 1 / _inverse_root_factor(reynolds, relative_roughness) ** 2


@formula(
    f"r = reynolds; f_laminar = 64 / r; reynolds = max(r, {TURBULENT_ABOVE:g}); "
    f"{_HAALAND}; {_NEWTON}; {_NEWTON}; {_NEWTON}; f_turbulent = 1 / x ** 2; "
    "f_bridge = (128000 + (f_turbulent * 4000 ** 2 - 128000) * (r - 2000) / 2000) / r ** 2; "
    "factor = where(r < 2000, f_laminar, where(r < 4000, f_bridge, f_turbulent))",
    unit="",
    basis=f"{DARCY}; {COLEBROOK}; {BRIDGE}",
    valid={"reynolds": (0.0, 1e8), **_ROUGHNESS_RANGE},
    domain={"reynolds": (100.0, 1e7)},
)
def friction_factor(reynolds: Quantity, relative_roughness: Quantity) -> Quantity:
    """Darcy friction factor for any flow [-]; reynolds above zero.

    Outside 2000 < Re < 4000 it is the laminar law or Colebrook's; between, see the head of this module.

    >>> [f"{friction_factor(re, 0.001):.4f}" for re in (1000, 3000, 100_000)]
    ['0.0640', '0.0435', '0.0222']
    """
    turbulent = turbulent_friction_factor(np.maximum(reynolds, TURBULENT_ABOVE), relative_roughness)
    bridge = (128000 + (turbulent * 4000**2 - 128000) * (reynolds - 2000) / 2000) / reynolds**2
    return np.where(
        reynolds < LAMINAR_BELOW, 64 / reynolds, np.where(reynolds < TURBULENT_ABOVE, bridge, turbulent)
    )[()]


def friction_factor_range(reynolds: Quantity, relative_roughness: Quantity) -> tuple[Quantity, Quantity]:
    """Lowest and highest Darcy friction factor that the laws allow [-].

    Between 2000 and 4000 the laminar law and Colebrook's, each alone; elsewhere the one law twice.

    >>> low, high = friction_factor_range(3000.0, 0.001)
    >>> f"{low:.4f} to {high:.4f}"
    '0.0213 to 0.0444'
    """
    single = friction_factor(reynolds, relative_roughness)
    between = (reynolds > LAMINAR_BELOW) & (reynolds < TURBULENT_ABOVE)
    turbulent = turbulent_friction_factor(np.maximum(reynolds, LAMINAR_BELOW), relative_roughness)
    return np.where(between, 64 / reynolds, single)[()], np.where(between, turbulent, single)[()]


@formula(
    "loss_m = friction_factor * length_m / diameter_m * velocity_ms ** 2 / (2 * gravity_ms2)",
    unit="m",
    basis=DARCY,
)
def head_loss_darcy(
    friction_factor: Quantity,
    length_m: Quantity,
    diameter_m: Quantity,
    velocity_ms: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Head lost to friction along a full pipe [m of the water flowing].

    >>> f"{head_loss_darcy(0.02, 100.0, 0.1, 1.5):.2f}"
    '2.29'
    """
    return friction_factor * length_m / diameter_m * velocity_ms**2 / (2 * gravity_ms2)


def head_loss_and_slope_darcy(
    flow_m3s: Quantity,
    length_m: Quantity,
    diameter_m: Quantity,
    roughness_m: Quantity,
    kinematic_viscosity_m2s: Quantity,
    gravity_ms2: float = STANDARD_GRAVITY_MS2,
) -> tuple[Quantity, Quantity]:
    """Head lost to friction [m] and its derivative by the flow [s/m2]; zero and reversed flow allowed.

    The loss has the sign of the flow. At rest the slope is that of laminar flow, never zero.
    """
    reynolds_per_flow = 4 / (np.pi * diameter_m * kinematic_viscosity_m2s)
    scale = kinematic_viscosity_m2s**2 * length_m / (2 * gravity_ms2 * diameter_m**3)
    relative = np.asarray(roughness_m / diameter_m, dtype=float)
    reynolds = np.asarray(np.abs(flow_m3s) * reynolds_per_flow, dtype=float)
    reynolds, relative = np.broadcast_arrays(reynolds, relative)
    shape = reynolds.shape
    flat, rough = np.atleast_1d(reynolds).ravel(), np.atleast_1d(relative).ravel()
    number, slope = friction_number_and_slope(flat, rough, friction_number_at_4000(rough))
    loss = np.sign(flow_m3s) * scale * number.reshape(shape)
    return loss[()], (scale * reynolds_per_flow * slope.reshape(shape))[()]


def friction_number_at_4000(relative_roughness: FloatArray) -> FloatArray:
    """Friction factor times Reynolds number squared where turbulent flow begins [-]."""
    start = np.full_like(relative_roughness, TURBULENT_ABOVE)
    factor: FloatArray = turbulent_friction_factor(start, relative_roughness)
    return factor * TURBULENT_ABOVE**2


def friction_number_and_slope(
    reynolds: FloatArray, relative_roughness: FloatArray, at_4000: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Friction factor times Reynolds number squared, and its derivative by the Reynolds number [-].

    The head loss is this number times nu2 L / (2 g D3): it needs no division by a flow that may be zero.
    `at_4000` is `friction_number_at_4000` of the same roughness; it does not change while a network is
    solved.
    """
    number = 64 * reynolds
    slope = np.full_like(reynolds, 64.0)
    above = np.flatnonzero(reynolds >= LAMINAR_BELOW)
    if not above.size:
        return number, slope
    start = 64 * LAMINAR_BELOW
    bridge_slope = (at_4000[above] - start) / (TURBULENT_ABOVE - LAMINAR_BELOW)
    number[above] = start + bridge_slope * (reynolds[above] - LAMINAR_BELOW)
    slope[above] = bridge_slope
    turbulent = above[reynolds[above] >= TURBULENT_ABOVE]
    if turbulent.size:
        number[turbulent], slope[turbulent] = _turbulent_number(
            reynolds[turbulent], relative_roughness[turbulent]
        )
    return number, slope


def _turbulent_number(reynolds: FloatArray, relative_roughness: FloatArray) -> tuple[FloatArray, FloatArray]:
    x = _inverse_root_factor(reynolds, relative_roughness)
    viscous = 2.51 / reynolds
    # d(1/sqrt f)/dRe = k x / (Re (1 + k)), from differentiating Colebrook's equation.
    k = _LOG10_SLOPE * viscous / (relative_roughness / 3.7 + viscous * x)
    number = (reynolds / x) ** 2
    return number, 2 * number / (reynolds * (1 + k))


def _inverse_root_factor(reynolds: Quantity, relative_roughness: Quantity) -> Quantity:
    """1/sqrt(f) by Colebrook: Haaland's start and three Newton steps."""
    rough, viscous = relative_roughness / 3.7, 2.51 / reynolds
    x = -1.8 * np.log10(rough**1.11 + 6.9 / reynolds)
    for _ in range(3):
        y = rough + viscous * x
        x = x - (x + _LOG10_SLOPE * np.log(y)) / (1 + _LOG10_SLOPE * viscous / y)
    return x
