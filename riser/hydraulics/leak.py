# SPDX-License-Identifier: Apache-2.0
"""A leak as a hole: from a pressure drop to a flow and a size, and back.

The store of a closed pipe is the water it gives up per pascal lost: squeezed water, stretched wall, and any
air.
"""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

ORIFICE = "orifice equation: Q = Cd A sqrt(2 p / density)"
_STORE = {"compressibility_per_pa": (4e-10, 5e-10), "wall_compliance_per_pa": (1e-11, 1e-9)}
GAS_CONSTANT = 8.314462618
"""Molar gas constant in J/(mol.K), exact since the SI of 2019."""


@formula(
    "flow_m3s = discharge_coefficient * area_m2 * sqrt(2 * pressure_pa / density_kgm3)",
    unit="m3/s",
    basis=ORIFICE,
)
def orifice_flow(
    area_m2: Quantity, pressure_pa: Quantity, density_kgm3: Quantity, discharge_coefficient: Quantity
) -> Quantity:
    """Flow through a hole into the open [m3/s].

    >>> f"{orifice_flow(1e-6, 1e6, 998.2, 0.6) * 60000:.2f} L/min through 1 mm2 at 10 bar"
    '1.61 L/min through 1 mm2 at 10 bar'
    """
    return discharge_coefficient * area_m2 * np.sqrt(2 * pressure_pa / density_kgm3)


@formula(
    "store_m3_per_pa = volume_m3 * (compressibility_per_pa + wall_compliance_per_pa) "
    "+ air_m3 / absolute_pressure_pa",
    unit="m3/Pa",
    basis="elastic water and wall; air by Boyle's law",
    domain={**_STORE, "air_m3": (0.0, 0.01), "absolute_pressure_pa": (2e5, 2e6)},
)
def water_store(
    volume_m3: Quantity,
    compressibility_per_pa: Quantity,
    wall_compliance_per_pa: Quantity,
    air_m3: Quantity,
    absolute_pressure_pa: Quantity,
) -> Quantity:
    """Water a closed pipe gives up per pascal lost [m3/Pa]; air as it is now, at its absolute pressure."""
    elastic = volume_m3 * (compressibility_per_pa + wall_compliance_per_pa)
    return elastic + air_m3 / absolute_pressure_pa


@formula(
    "flow_m3s = store_m3_per_pa * pressure_drop_pa / time_s",
    unit="m3/s",
    basis="what is lost came out of the store; temperature constant",
    domain={"store_m3_per_pa": (1e-12, 1e-9)},
)
def leak_flow(store_m3_per_pa: Quantity, pressure_drop_pa: Quantity, time_s: Quantity) -> Quantity:
    """Mean leak of a closed pipe from its pressure drop [m3/s].

    >>> f"{leak_flow(5e-11, 1e5, 3600.0) * 3.6e9:.1f} mL/h for 1 bar in an hour from 100 L of steel pipe"
    '5.0 mL/h for 1 bar in an hour from 100 L of steel pipe'
    """
    return store_m3_per_pa * pressure_drop_pa / time_s


@formula(
    "k = discharge_coefficient * area_m2 * sqrt(2 / density_kgm3) / (2 * store_m3_per_pa); "
    "pressure_pa = max(sqrt(start_pa) - k * time_s, 0) ** 2",
    unit="Pa",
    basis=f"{ORIFICE}, integrated for a constant store",
    domain={
        "area_m2": (1e-10, 1e-9), "density_kgm3": (950, 1000), "store_m3_per_pa": (1e-10, 1e-9),
        "start_pa": (1e5, 2e6), "time_s": (0, 100),
    },
)  # fmt: skip
def pressure_after_leaking(
    start_pa: Quantity,
    time_s: Quantity,
    area_m2: Quantity,
    store_m3_per_pa: Quantity,
    density_kgm3: Quantity,
    discharge_coefficient: Quantity,
) -> Quantity:
    """Gauge pressure left in a closed pipe that leaks through a hole into the open [Pa]."""
    k = discharge_coefficient * area_m2 * np.sqrt(2 / density_kgm3) / (2 * store_m3_per_pa)
    return np.maximum(np.sqrt(start_pa) - k * time_s, 0) ** 2


@formula(
    "area_m2 = 2 * store_m3_per_pa * (sqrt(start_pa) - sqrt(end_pa)) * sqrt(density_kgm3 / 2) "
    "/ (discharge_coefficient * time_s)",
    unit="m2",
    basis=f"{ORIFICE}, integrated for a constant store",
    domain={"start_pa": (1e6, 2e6), "end_pa": (5e5, 9e5)},
)
def equivalent_orifice(
    start_pa: Quantity,
    end_pa: Quantity,
    time_s: Quantity,
    store_m3_per_pa: Quantity,
    density_kgm3: Quantity,
    discharge_coefficient: Quantity,
) -> Quantity:
    """Area of the hole that explains a pressure drop at constant temperature [m2]."""
    fall = np.sqrt(start_pa) - np.sqrt(end_pa)
    return 2 * store_m3_per_pa * fall * np.sqrt(density_kgm3 / 2) / (discharge_coefficient * time_s)


@formula(
    "flow_mols = volume_m3 * pressure_change_pa / (8.314462618 * temperature_k * time_s)",
    unit="mol/s",
    basis="ideal gas law",
)
def gas_leak(
    volume_m3: Quantity, pressure_change_pa: Quantity, temperature_k: Quantity, time_s: Quantity
) -> Quantity:
    """Gas lost from, or drawn into, a closed pipe under an air or vacuum test [mol/s]."""
    return volume_m3 * pressure_change_pa / (GAS_CONSTANT * temperature_k * time_s)
