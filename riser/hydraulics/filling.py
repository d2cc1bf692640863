# SPDX-License-Identifier: Apache-2.0
"""Pumping up a test: the water it takes, and what too much water says about trapped air.

Air pressures are absolute, at the level where the air is. One per cent of trapped air takes some eighteen
times the water of an airless steel pipe to 10 bar: the pumped volume is the cheapest test for air.
"""

from __future__ import annotations

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

ELASTIC = "elastic: water squeezed and wall stretched; not for plastics that creep"
BOYLE = "Boyle's law: air at constant temperature"
_STIFF = {"compressibility_per_pa": (4e-10, 5e-10), "wall_compliance_per_pa": (1e-11, 1e-9)}
_ABSOLUTE = {"start_absolute_pa": (9e4, 1.1e5), "end_absolute_pa": (2e5, 2e6)}


@formula(
    "volume_m3 = pipe_volume_m3 * (compressibility_per_pa + wall_compliance_per_pa) * pressure_rise_pa",
    unit="m3",
    basis=ELASTIC,
    domain=_STIFF,
)
def water_to_pressurise(
    pipe_volume_m3: Quantity,
    compressibility_per_pa: Quantity,
    wall_compliance_per_pa: Quantity,
    pressure_rise_pa: Quantity,
) -> Quantity:
    """Water to pump into a full, airless pipe for a rise of pressure [m3].

    >>> f"{water_to_pressurise(0.1, 4.59e-10, 7e-11, 1e6) * 1000:.3f} L"
    '0.053 L'
    """
    return pipe_volume_m3 * (compressibility_per_pa + wall_compliance_per_pa) * pressure_rise_pa


@formula(
    "volume_m3 = air_volume_m3 * (1 - start_absolute_pa / end_absolute_pa)",
    unit="m3",
    basis=BOYLE,
    domain=_ABSOLUTE,
)
def water_replacing_air(
    air_volume_m3: Quantity, start_absolute_pa: Quantity, end_absolute_pa: Quantity
) -> Quantity:
    """Water that takes the place of air squeezed from one absolute pressure to another [m3].

    `air_volume_m3` is the air's volume at the start.
    """
    return air_volume_m3 * (1 - start_absolute_pa / end_absolute_pa)


@formula(
    "air_m3 = (pumped_m3 - airless_m3) / (1 - start_absolute_pa / end_absolute_pa)",
    unit="m3",
    basis=f"{BOYLE}; {ELASTIC}",
    domain=_ABSOLUTE,
)
def trapped_air(
    pumped_m3: Quantity, airless_m3: Quantity, start_absolute_pa: Quantity, end_absolute_pa: Quantity
) -> Quantity:
    """Air in a pipe before pumping, from the water it took and the water it would take without air [m3].

    >>> f"{trapped_air(0.00096, 0.000052, 101325.0, 1101325.0) * 1000:.2f} L of air"
    '1.00 L of air'
    """
    return (pumped_m3 - airless_m3) / (1 - start_absolute_pa / end_absolute_pa)
