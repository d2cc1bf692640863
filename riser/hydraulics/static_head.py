# SPDX-License-Identifier: Apache-2.0
"""Still water: pressure and head, with the level at which each holds.

All pressures here are gauge pressures, all levels heights above one datum, positive upwards.
"""

from __future__ import annotations

from fluids.core import P_from_head, head_from_P

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.units import STANDARD_GRAVITY_MS2

HYDROSTATICS = "hydrostatics: pressure grows by density x gravity x depth"


@formula("pressure_pa = head_m * density_kgm3 * gravity_ms2", unit="Pa", basis=HYDROSTATICS)
def pressure_of_head(
    head_m: Quantity, density_kgm3: Quantity, gravity_ms2: Quantity = STANDARD_GRAVITY_MS2
) -> Quantity:
    """Pressure under a column of water [Pa].

    >>> f"{pressure_of_head(10.0, 998.2) / 1000:.1f} kPa"
    '97.9 kPa'
    """
    return P_from_head(head_m, density_kgm3, gravity_ms2)


@formula("head_m = pressure_pa / (density_kgm3 * gravity_ms2)", unit="m", basis=HYDROSTATICS)
def head_of_pressure(
    pressure_pa: Quantity, density_kgm3: Quantity, gravity_ms2: Quantity = STANDARD_GRAVITY_MS2
) -> Quantity:
    """Height of a column of water with that pressure at its foot [m]."""
    return head_from_P(pressure_pa, density_kgm3, gravity_ms2)


@formula(
    "pressure_pa = known_pressure_pa + density_kgm3 * gravity_ms2 * (known_level_m - level_m)",
    unit="Pa",
    basis=HYDROSTATICS,
)
def pressure_at_level(
    known_pressure_pa: Quantity,
    known_level_m: Quantity,
    level_m: Quantity,
    density_kgm3: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Pressure at one level of still, connected water from the pressure at another [Pa].

    >>> f"{pressure_at_level(1.38e6, 0.0, 30.0, 998.2) / 1e5:.2f} bar at the top"
    '10.86 bar at the top'
    """
    return known_pressure_pa + density_kgm3 * gravity_ms2 * (known_level_m - level_m)


@formula(
    "level_m = known_level_m + (known_pressure_pa - pressure_pa) / (density_kgm3 * gravity_ms2)",
    unit="m",
    basis=HYDROSTATICS,
)
def level_of_pressure(
    pressure_pa: Quantity,
    known_pressure_pa: Quantity,
    known_level_m: Quantity,
    density_kgm3: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Level at which still, connected water has a given pressure [m]."""
    return known_level_m + (known_pressure_pa - pressure_pa) / (density_kgm3 * gravity_ms2)


@formula(
    "head_m = level_m + pressure_pa / (density_kgm3 * gravity_ms2)",
    unit="m",
    basis="piezometric head: level and pressure head",
)
def head_above_datum(
    pressure_pa: Quantity,
    level_m: Quantity,
    density_kgm3: Quantity,
    gravity_ms2: Quantity = STANDARD_GRAVITY_MS2,
) -> Quantity:
    """Level to which water would rise in an open standpipe: the head a network is solved for [m]."""
    return level_m + pressure_pa / (density_kgm3 * gravity_ms2)


@formula(
    "pressure_pa = density_kgm3 * gravity_ms2 * (head_m - level_m)",
    unit="Pa",
    basis="piezometric head: level and pressure head",
)
def pressure_below_head(
    head_m: Quantity, level_m: Quantity, density_kgm3: Quantity, gravity_ms2: Quantity = STANDARD_GRAVITY_MS2
) -> Quantity:
    """Pressure at a level from the head above datum [Pa]."""
    return density_kgm3 * gravity_ms2 * (head_m - level_m)
