# SPDX-License-Identifier: Apache-2.0
"""A closed, water-filled pipe that warms or cools: the pressure it gains or loses.

One kelvin moves the pressure of a steel test by one to three bar; a plastic pipe can lose pressure on
warming, because its wall grows faster than the water in it. So no pressure test is read without temperatures.
"""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics import water
from riser.hydraulics.quantity import Quantity


@formula(
    "rise_pa_per_k = (water_expansion_per_k - pipe_expansion_per_k) "
    "/ (compressibility_per_pa + wall_compliance_per_pa)",
    unit="Pa/K",
    basis="volume of water equals volume of pipe before and after",
    domain={
        "water_expansion_per_k": (2e-4, 6e-4), "pipe_expansion_per_k": (3e-5, 6e-5),
        "compressibility_per_pa": (4e-10, 5e-10), "wall_compliance_per_pa": (1e-11, 1e-8),
    },
)  # fmt: skip
def pressure_rise_per_kelvin(
    water_expansion_per_k: Quantity,
    pipe_expansion_per_k: Quantity,
    compressibility_per_pa: Quantity,
    wall_compliance_per_pa: Quantity,
) -> Quantity:
    """Pressure a closed, full, airless pipe gains per kelvin of warming [Pa/K].

    `pipe_expansion_per_k` is that of the bore volume (`pipe_wall.expansion_of_bore_volume`). Water's own
    figures change with temperature: over more than a few kelvin go in steps, or use
    `pressure_rise_of_warming`.

    >>> f"{pressure_rise_per_kelvin(207e-6, 3 * 12e-6, 4.59e-10, 7e-11) / 1e5:.1f} bar/K"
    '3.2 bar/K'
    """
    return (water_expansion_per_k - pipe_expansion_per_k) / (compressibility_per_pa + wall_compliance_per_pa)


def pressure_rise_of_warming(
    start_c: float, end_c: float, pipe_expansion_per_k: float, wall_compliance_per_pa: float
) -> float:
    """Pressure a closed, full, airless pipe gains from one temperature to another [Pa]; cooling is negative.

    Water's expansion and compressibility change on the way: the rise per kelvin is integrated, exact to 1e-9.
    A pressure below the vapour pressure means that the water parts.

    >>> f"{pressure_rise_of_warming(10.0, 20.0, 36e-6, 7e-11) / 1e5:.0f} bar in steel, 10 to 20 degC"
    '21 bar in steel, 10 to 20 degC'
    """
    places, weights = np.polynomial.legendre.leggauss(8)
    temperature_c = start_c + (end_c - start_c) * (places + 1) / 2
    rises = pressure_rise_per_kelvin(
        water.thermal_expansion(temperature_c),
        pipe_expansion_per_k,
        water.compressibility(temperature_c),
        wall_compliance_per_pa,
    )
    return float((end_c - start_c) / 2 * np.sum(weights * rises))
