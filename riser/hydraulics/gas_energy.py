# SPDX-License-Identifier: Apache-2.0
"""Energy stored by a test under air, and the distance a person keeps from it; water for comparison.

Formulas of ASME PCC-2 appendices 501-II and 501-III as quoted by public calculators. Least distances (30 m
and 60 m in that standard) are code figures and stand in the rule sets; pass the one in force as `least_m`.
"""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

STORED = "ASME PCC-2 501-II, air or nitrogen with k = 1.4, atmosphere 101 000 Pa"
DISTANCE = "ASME PCC-2 501-III: R = Rscaled (2 TNT)^(1/3)"
JOULES_PER_KG_TNT = 4_266_920.0
_TEST = {"absolute_pressure_pa": (1.1e5, 2e6)}


@formula(
    "energy_j = 2.5 * absolute_pressure_pa * volume_m3 * (1 - (101000 / absolute_pressure_pa) ** 0.286)",
    unit="J",
    basis=STORED,
    domain=_TEST,
)
def energy_of_gas(absolute_pressure_pa: Quantity, volume_m3: Quantity) -> Quantity:
    """Energy let go when gas under pressure escapes at once [J].

    >>> f"{energy_of_gas(1.101e6, 0.247) / 1e6:.2f} MJ in 30 m of DN 100 at 10 bar"
    '0.34 MJ in 30 m of DN 100 at 10 bar'
    """
    return 2.5 * absolute_pressure_pa * volume_m3 * (1 - (101000 / absolute_pressure_pa) ** 0.286)


@formula(
    "mass_kg = energy_j / 4266920", unit="kg", basis="ASME PCC-2 501-II", domain={"energy_j": (1e3, 1e9)}
)
def tnt_equivalent(energy_j: Quantity) -> Quantity:
    """The same energy as a mass of TNT [kg]."""
    return energy_j / JOULES_PER_KG_TNT


@formula(
    "distance_m = max(scaled_distance * (2 * energy_j / 4266920) ** (1 / 3), least_m)",
    unit="m",
    basis=DISTANCE,
    domain={"energy_j": (1e3, 1e9), "scaled_distance": (20.0, 40.0), "least_m": (0.0, 60.0)},
)
def clear_distance(energy_j: Quantity, scaled_distance: Quantity = 20.0, least_m: Quantity = 0.0) -> Quantity:
    """Distance to keep from a pipe under gas pressure [m].

    `scaled_distance` in m/kg^(1/3): 20 or more keeps unprotected people from harm by the blast, not by
    fragments.

    >>> f"{clear_distance(0.34e6):.1f}"
    '10.8'
    """
    return np.maximum(scaled_distance * (2 * energy_j / JOULES_PER_KG_TNT) ** (1 / 3), least_m)


@formula(
    "energy_j = 0.5 * store_m3_per_pa * gauge_pressure_pa ** 2",
    unit="J",
    basis="elastic energy of water and wall, airless",
    domain={"store_m3_per_pa": (1e-12, 1e-9), "gauge_pressure_pa": (1e5, 2e6)},
)
def energy_of_water(store_m3_per_pa: Quantity, gauge_pressure_pa: Quantity) -> Quantity:
    """Energy stored by a water test without air [J]; `store_m3_per_pa` from `leak.water_store`."""
    return 0.5 * store_m3_per_pa * gauge_pressure_pa**2
