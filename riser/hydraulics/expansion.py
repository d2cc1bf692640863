# SPDX-License-Identifier: Apache-2.0
"""Pipes that grow with heat: movement, the force of holding them, and the leg that bends instead."""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

_EXPANSION = {"linear_expansion_per_k": (1e-5, 2e-4)}
_STIFF = {"elasticity_pa": (1e9, 2e11)}


@formula(
    "movement_m = linear_expansion_per_k * length_m * warming_k",
    unit="m",
    basis="linear thermal expansion",
    domain=_EXPANSION,
)
def movement(linear_expansion_per_k: Quantity, length_m: Quantity, warming_k: Quantity) -> Quantity:
    """Length a free pipe gains [m].

    >>> f"{movement(17e-6, 30.0, 50.0) * 1000:.1f} mm for 30 m of copper, 10 to 60 degC"
    '25.5 mm for 30 m of copper, 10 to 60 degC'
    """
    return linear_expansion_per_k * length_m * warming_k


@formula(
    "force_n = elasticity_pa * pi / 4 * (outside_m ** 2 - bore_m ** 2) * linear_expansion_per_k * warming_k",
    unit="N",
    basis="Hooke's law for a bar held at both ends",
    domain={**_EXPANSION, **_STIFF, "outside_m": (0.1, 0.2), "bore_m": (0.05, 0.09)},
)
def force_of_holding(
    outside_m: Quantity,
    bore_m: Quantity,
    elasticity_pa: Quantity,
    linear_expansion_per_k: Quantity,
    warming_k: Quantity,
) -> Quantity:
    """Force on the anchors of a pipe that cannot lengthen [N], whatever its length; buckling left aside."""
    area_m2 = np.pi / 4 * (outside_m**2 - bore_m**2)
    return elasticity_pa * area_m2 * linear_expansion_per_k * warming_k


@formula(
    "length_m = sqrt(3 * elasticity_pa * outside_m * movement_m / stress_pa)",
    unit="m",
    basis="beam fixed at both ends, one end moved sideways",
    domain={**_STIFF, "outside_m": (0.01, 0.2), "movement_m": (0.001, 0.1), "stress_pa": (1e6, 1e8)},
)
def bending_leg(
    outside_m: Quantity, movement_m: Quantity, elasticity_pa: Quantity, stress_pa: Quantity
) -> Quantity:
    """Free length of a branch that takes a sideways movement within a bending stress [m].

    >>> f"{bending_leg(0.028, 0.0255, 117e9, 41e6):.2f}"
    '2.47'
    """
    return np.sqrt(3 * elasticity_pa * outside_m * movement_m / stress_pa)
