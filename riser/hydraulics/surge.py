# SPDX-License-Identifier: Apache-2.0
"""Pressure surge when water is stopped: wave speed, sudden and slow closing."""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

JOUKOWSKY = "Joukowsky 1898"
KORTEWEG = "Korteweg 1878: water and wall give together"


@formula(
    "speed_ms = 1 / sqrt(density_kgm3 * (compressibility_per_pa + wall_compliance_per_pa))",
    unit="m/s",
    basis=KORTEWEG,
    domain={"compressibility_per_pa": (4e-10, 5e-10), "wall_compliance_per_pa": (1e-11, 1e-8)},
)
def wave_speed(
    density_kgm3: Quantity, compressibility_per_pa: Quantity, wall_compliance_per_pa: Quantity
) -> Quantity:
    """Speed of a pressure wave in a full pipe [m/s]; a little air in the water lowers it much.

    >>> from riser.hydraulics.pipe_wall import thin_wall_compliance
    >>> wall = thin_wall_compliance(0.3, 0.02, 2.6e9, 1.0)
    >>> f"{wave_speed(1000.0, 1 / 2.1e9, wall):.0f}"
    '400'
    """
    return 1 / np.sqrt(density_kgm3 * (compressibility_per_pa + wall_compliance_per_pa))


@formula("surge_pa = density_kgm3 * wave_speed_ms * velocity_change_ms", unit="Pa", basis=JOUKOWSKY)
def surge_of_sudden_closing(
    density_kgm3: Quantity, wave_speed_ms: Quantity, velocity_change_ms: Quantity
) -> Quantity:
    """Pressure rise when the flow stops within one return time [Pa].

    >>> f"{surge_of_sudden_closing(1000.0, 1200.0, 1.5) / 1e5:.0f} bar"
    '18 bar'
    """
    return density_kgm3 * wave_speed_ms * velocity_change_ms


@formula("time_s = 2 * length_m / wave_speed_ms", unit="s", basis="there and back")
def return_time(length_m: Quantity, wave_speed_ms: Quantity) -> Quantity:
    """Time for a wave to the nearest open end and back; closing faster is sudden [s]."""
    return 2 * length_m / wave_speed_ms


@formula(
    "surge_pa = 2 * density_kgm3 * length_m * velocity_change_ms / closing_time_s",
    unit="Pa",
    basis="Michaud 1878, for closing slower than the return time",
)
def surge_of_slow_closing(
    density_kgm3: Quantity, length_m: Quantity, velocity_change_ms: Quantity, closing_time_s: Quantity
) -> Quantity:
    """Pressure rise when the flow stops evenly over a time longer than the return time [Pa]."""
    return 2 * density_kgm3 * length_m * velocity_change_ms / closing_time_s
