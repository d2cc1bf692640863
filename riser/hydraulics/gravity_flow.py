# SPDX-License-Identifier: Apache-2.0
"""Drains: steady, even flow in a partly full round pipe, by Manning and by Prandtl-Colebrook.

`filling` is depth over bore, y/D. With constant n the flow is greatest at y/D = 0.938 (1.0757 of full) and
the velocity at 0.813 (1.140 of full); above the first a depth would fit two flows, so the depth for a flow
is always the lower one. Prandtl-Colebrook for a partly full pipe uses four times the hydraulic radius as its
diameter.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import FloatArray, Quantity
from riser.units import STANDARD_GRAVITY_MS2

GEOMETRY = "geometry of a circle segment"
MANNING = "Manning 1891: V = R^(2/3) S^(1/2) / n (SI), n constant over the depth"
PRANDTL_COLEBROOK = "Prandtl-Colebrook with D = 4R"
# A film: 6e-8 of the bore deep. Thinner water counts as no depth to any purpose here.
_LEAST_ANGLE = 1e-3
_FILLING = {"filling": (0.0, 1.0)}
_INSIDE = {"filling": (0.01, 0.99)}
_SLOPE = {"slope_m_per_m": (0.001, 0.1), "manning_n": (0.008, 0.02)}
# The same as 2 acos(1 - 2 filling), without losing digits in a shallow pipe.
_ANGLE = "angle = 4 * asin(sqrt(filling))"


def wetted_angle(filling: Quantity) -> Quantity:
    """Angle of the wetted arc at the pipe's centre [rad]."""
    return 4 * np.arcsin(np.sqrt(filling))


@formula(
    f"{_ANGLE}; area_m2 = diameter_m ** 2 / 8 * (angle - sin(angle))",
    unit="m2",
    basis=GEOMETRY,
    valid=_FILLING,
    domain=_INSIDE,
)
def flow_area(diameter_m: Quantity, filling: Quantity) -> Quantity:
    """Cross-section of the water [m2].

    >>> f"{flow_area(0.1, 0.5) * 1e4:.2f} cm2"
    '39.27 cm2'
    """
    angle = wetted_angle(filling)
    return diameter_m**2 / 8 * (angle - np.sin(angle))


@formula("perimeter_m = 2 * diameter_m * asin(sqrt(filling))", unit="m", basis=GEOMETRY, valid=_FILLING)
def wetted_perimeter(diameter_m: Quantity, filling: Quantity) -> Quantity:
    """Length of wetted wall around the pipe [m]."""
    return 2 * diameter_m * np.arcsin(np.sqrt(filling))


@formula(
    f"{_ANGLE}; radius_m = diameter_m / 4 * (1 - sin(angle) / angle)",
    unit="m",
    basis=GEOMETRY,
    valid=_FILLING,
    domain=_INSIDE,
)
def hydraulic_radius(diameter_m: Quantity, filling: Quantity) -> Quantity:
    """Cross-section of the water over wetted wall [m]; filling above 0."""
    angle = wetted_angle(filling)
    return diameter_m / 4 * (1 - np.sin(angle) / angle)


@formula(
    "velocity_ms = hydraulic_radius_m ** (2 / 3) * sqrt(slope_m_per_m) / manning_n",
    unit="m/s",
    basis=MANNING,
    domain=_SLOPE,
)
def mean_velocity_manning(
    hydraulic_radius_m: Quantity, slope_m_per_m: Quantity, manning_n: Quantity
) -> Quantity:
    """Mean velocity by Manning [m/s].

    >>> f"{mean_velocity_manning(0.025, 0.01, 0.012):.3f}"
    '0.712'
    """
    return hydraulic_radius_m ** (2 / 3) * np.sqrt(slope_m_per_m) / manning_n


@formula(
    f"{_ANGLE}; area_m2 = diameter_m ** 2 / 8 * (angle - sin(angle)); "
    "radius_m = diameter_m / 4 * (1 - sin(angle) / angle); "
    "flow_m3s = area_m2 * radius_m ** (2 / 3) * sqrt(slope_m_per_m) / manning_n",
    unit="m3/s",
    basis=f"{MANNING}; {GEOMETRY}",
    valid=_FILLING,
    domain={**_INSIDE, **_SLOPE},
)
def flow_manning(
    diameter_m: Quantity, filling: Quantity, slope_m_per_m: Quantity, manning_n: Quantity
) -> Quantity:
    """Flow in a partly full pipe by Manning [m3/s]; filling above 0, 1 for full bore without pressure.

    >>> f"{flow_manning(0.1, 0.5, 0.01, 0.012) * 1000:.2f} L/s"
    '2.80 L/s'
    """
    radius = hydraulic_radius(diameter_m, filling)
    return flow_area(diameter_m, filling) * mean_velocity_manning(radius, slope_m_per_m, manning_n)


@formula(
    "d = 4 * hydraulic_radius_m; root = sqrt(2 * gravity_ms2 * d * slope_m_per_m); "
    "velocity_ms = -2 * root * log10(roughness_m / (3.71 * d) + 2.51 * kinematic_viscosity_m2s / (d * root))",
    unit="m/s",
    basis=PRANDTL_COLEBROOK,
    domain={
        "hydraulic_radius_m": (0.005, 0.1), "slope_m_per_m": (0.002, 0.1), "roughness_m": (1e-6, 2e-3),
        "kinematic_viscosity_m2s": (8e-7, 1.5e-6), "gravity_ms2": (9.78, 9.83),
    },
)  # fmt: skip
def mean_velocity_colebrook(
    hydraulic_radius_m: Quantity,
    slope_m_per_m: Quantity,
    roughness_m: Quantity,
    kinematic_viscosity_m2s: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Mean velocity by Prandtl-Colebrook [m/s].

    >>> f"{mean_velocity_colebrook(0.024, 0.01, 1e-3, 1.31e-6):.2f}"
    '0.69'
    """
    d = 4 * hydraulic_radius_m
    root = np.sqrt(2 * gravity_ms2 * d * slope_m_per_m)
    return -2 * root * np.log10(roughness_m / (3.71 * d) + 2.51 * kinematic_viscosity_m2s / (d * root))


def flow_colebrook(
    diameter_m: Quantity,
    filling: Quantity,
    slope_m_per_m: Quantity,
    roughness_m: Quantity,
    kinematic_viscosity_m2s: Quantity,
) -> Quantity:
    """Flow in a partly full pipe by Prandtl-Colebrook [m3/s]; filling above 0."""
    radius = hydraulic_radius(diameter_m, filling)
    velocity = mean_velocity_colebrook(radius, slope_m_per_m, roughness_m, kinematic_viscosity_m2s)
    return flow_area(diameter_m, filling) * velocity


@formula(
    "shear_pa = density_kgm3 * gravity_ms2 * hydraulic_radius_m * slope_m_per_m",
    unit="Pa",
    basis="balance of weight and wall shear in even flow",
)
def wall_shear(
    hydraulic_radius_m: Quantity,
    slope_m_per_m: Quantity,
    density_kgm3: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Mean shear of the water on the pipe wall, the measure of self-cleansing [Pa].

    >>> f"{wall_shear(0.025, 0.01, 999.0):.2f} Pa"
    '2.45 Pa'
    """
    return density_kgm3 * gravity_ms2 * hydraulic_radius_m * slope_m_per_m


def filling_manning(
    flow_m3s: Quantity, diameter_m: Quantity, slope_m_per_m: Quantity, manning_n: Quantity
) -> Quantity:
    """Depth over bore at which a pipe carries a flow by Manning [-].

    NaN where the pipe cannot carry it with a free surface (above 1.0757 of its full flow). Exact to rounding,
    on arrays of any shape.

    >>> f"{filling_manning(0.01, 0.2, 0.001, 0.013) * 0.2:.3f} m deep"
    '0.158 m deep'
    """
    return _filling(lambda f: flow_manning(diameter_m, f, slope_m_per_m, manning_n), flow_m3s)


def filling_colebrook(
    flow_m3s: Quantity,
    diameter_m: Quantity,
    slope_m_per_m: Quantity,
    roughness_m: Quantity,
    kinematic_viscosity_m2s: Quantity,
) -> Quantity:
    """Depth over bore at which a pipe carries a flow by Prandtl-Colebrook [-]; NaN where it cannot."""
    return _filling(
        lambda f: flow_colebrook(diameter_m, f, slope_m_per_m, roughness_m, kinematic_viscosity_m2s), flow_m3s
    )


def fullest(flow_at: Callable[[FloatArray], FloatArray], shape: tuple[int, ...] = ()) -> FloatArray:
    """Filling at which a law's flow is greatest [-], by golden section between 0.85 and 1."""
    low, high = np.full(shape, 0.85), np.full(shape, 1.0)
    golden = (np.sqrt(5) - 1) / 2
    for _ in range(50):
        a, b = high - golden * (high - low), low + golden * (high - low)
        rising = flow_at(a) < flow_at(b)
        low, high = np.where(rising, a, low), np.where(rising, high, b)
    middle: FloatArray = (low + high) / 2
    return middle


def _filling(flow_at: Callable[[FloatArray], FloatArray], flow_m3s: Quantity) -> Quantity:
    """The lower filling for a flow, by halving the range of wetted angles: no start to guess."""
    wanted = np.asarray(flow_m3s, dtype=float)
    shape = np.broadcast_shapes(wanted.shape, np.shape(flow_at(np.array(0.5))))
    top = np.broadcast_to(fullest(flow_at, np.shape(flow_at(np.array(0.5)))), shape)
    low, high = np.full(shape, _LEAST_ANGLE), wetted_angle(top)
    for _ in range(60):
        middle = (low + high) / 2
        below = flow_at(np.sin(middle / 4) ** 2) < wanted
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    filling = np.where(wanted <= 0, 0.0, np.sin((low + high) / 8) ** 2)
    return np.where((wanted <= flow_at(top)) & (wanted >= 0), filling, np.nan)[()]
