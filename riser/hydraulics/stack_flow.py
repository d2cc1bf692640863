# SPDX-License-Identifier: Apache-2.0
"""Drainage stacks: water falling along the wall of a pipe, and the thrust of a stack filled for a test.

Capacity is Wyly and Eaton's: water fills a share of the section, the rest is air. The American form counts
gallons a minute and inches; the conversion stands in the formula's text.
"""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.units import FOOT_M, GPM_US_M3S, INCH_M

WYLY_EATON = "Wyly and Eaton, NBS Monograph 31 (1961): q = 27.8 r^(5/3) d^(8/3), gpm and inches"
TERMINAL = "Dawson and Kalinske / Wyly and Eaton: V = 3.0 (q/d)^(2/5) ft/s, L = 0.052 V^2 ft (recalled)"
_SIZES = {"diameter_m": (0.05, 0.4), "flow_m3s": (1e-3, 0.1)}


@formula(
    "flow_gpm = 27.8 * water_share ** (5 / 3) * (diameter_m / 0.0254) ** (8 / 3); "
    "flow_m3s = flow_gpm * 231 * 0.0254 ** 3 / 60",
    unit="m3/s",
    basis=WYLY_EATON,
    domain={"diameter_m": (0.05, 0.4), "water_share": (0.1, 0.35)},
)
def stack_capacity(diameter_m: Quantity, water_share: Quantity) -> Quantity:
    """Flow down a stack whose section is filled to a share with water [m3/s]; usual shares 1/4 to 1/3.

    >>> f"{stack_capacity(4 * 0.0254, 7 / 24) / 6.30902e-5:.0f} gpm"
    '144 gpm'
    """
    return 27.8 * water_share ** (5 / 3) * (diameter_m / INCH_M) ** (8 / 3) * GPM_US_M3S


@formula(
    "flow_gpm = flow_m3s / (231 * 0.0254 ** 3 / 60); "
    "share = (flow_gpm / (27.8 * (diameter_m / 0.0254) ** (8 / 3))) ** (3 / 5)",
    unit="",
    basis=WYLY_EATON,
    domain=_SIZES,
)
def water_share(flow_m3s: Quantity, diameter_m: Quantity) -> Quantity:
    """Share of a stack's section that a flow fills [-]."""
    flow_gpm = flow_m3s / GPM_US_M3S
    return (flow_gpm / (27.8 * (diameter_m / INCH_M) ** (8 / 3))) ** (3 / 5)


@formula(
    "flow_gpm = flow_m3s / (231 * 0.0254 ** 3 / 60); "
    "velocity_ms = 3.0 * (flow_gpm / (diameter_m / 0.0254)) ** (2 / 5) * 0.3048",
    unit="m/s",
    basis=TERMINAL,
    domain=_SIZES,
)
def terminal_velocity(flow_m3s: Quantity, diameter_m: Quantity) -> Quantity:
    """Greatest velocity of water falling in a stack [m/s]: a tall stack falls no faster.

    >>> f"{terminal_velocity(0.009, 0.1):.1f}"
    '3.8'
    """
    return 3.0 * (flow_m3s / GPM_US_M3S / (diameter_m / INCH_M)) ** (2 / 5) * FOOT_M


@formula("length_m = 0.052 * (velocity_ms / 0.3048) ** 2 * 0.3048", unit="m", basis=TERMINAL)
def terminal_length(velocity_ms: Quantity) -> Quantity:
    """Fall after which water has its terminal velocity [m]."""
    return 0.052 * (velocity_ms / FOOT_M) ** 2 * FOOT_M


@formula(
    "thrust_n = pressure_pa * pi / 4 * outside_m ** 2",
    unit="N",
    basis="pressure on the area inside the joint's seal; outside diameter taken as that area",
)
def end_thrust(pressure_pa: Quantity, outside_m: Quantity) -> Quantity:
    """Force that pushes a plug, cap or straight joint off a pipe under pressure [N].

    >>> f"{end_thrust(88_000.0, 0.110):.0f} N on a DN 100 plug under 9 m of water"
    '836 N on a DN 100 plug under 9 m of water'
    """
    return pressure_pa * np.pi / 4 * outside_m**2


@formula(
    "thrust_n = 2 * end_thrust_n * sin(angle_rad / 2)",
    unit="N",
    basis="balance of forces on a bend, water at rest",
    domain={"angle_rad": (0.1, 3.0)},
)
def bend_thrust(end_thrust_n: Quantity, angle_rad: Quantity) -> Quantity:
    """Force outward on a bend under pressure [N]."""
    return 2 * end_thrust_n * np.sin(angle_rad / 2)


@formula(
    "force_n = density_kgm3 * flow_m3s * velocity_ms",
    unit="N",
    basis="momentum of a jet turned through a right angle",
)
def force_of_falling_water(density_kgm3: Quantity, flow_m3s: Quantity, velocity_ms: Quantity) -> Quantity:
    """Force of the falling water on the bend at the foot of a stack [N]."""
    return density_kgm3 * flow_m3s * velocity_ms
