# SPDX-License-Identifier: Apache-2.0
"""How a pipe gives under pressure: the stretch that filling, surge and temperature all depend on.

A closed pipe grows by (2(1+nu) + 4 F s)/E of its volume per pascal, with s = bore2/(outside2 - bore2): Lame's
thick cylinder, exact for any wall. For a thin wall s is D/(4t) and the first term is small, which leaves the
handbook form F D/(tE). F depends on how the pipe is held lengthwise:

    free               closed ends, nothing holds it       F = 1.25 - nu
    held               cannot lengthen: clamped, buried    F = 1 - nu2
    expansion joints   carries no lengthwise force         F = 1 - nu/2

Derived here from Hooke's law; the elastic law does not hold for plastics over hours, which creep.
"""

from __future__ import annotations

from enum import StrEnum

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

LAME = "Lame's thick cylinder and Hooke's law"


class Restraint(StrEnum):
    """How a pipe is held lengthwise."""

    FREE = "free"
    HELD = "held"
    EXPANSION_JOINTS = "expansion joints"


def stretch_factor(restraint: Restraint, poisson: Quantity) -> Quantity:
    """Factor F of the volume a pipe gains under pressure [-].

    >>> [round(stretch_factor(r, 0.3), 2) for r in Restraint]
    [0.95, 0.91, 0.85]
    """
    match restraint:
        case Restraint.FREE:
            return 1.25 - poisson
        case Restraint.HELD:
            return 1 - poisson**2
        case Restraint.EXPANSION_JOINTS:
            return 1 - poisson / 2


def wave_stretch_factor(restraint: Restraint, poisson: Quantity) -> Quantity:
    """Factor F of the bore that opens as a pressure wave passes [-].

    Here `FREE` is a pipe anchored at one end. Korteweg's factors as in Wylie and Streeter: 1 - nu/2 anchored
    at one end, 1 - nu2 held throughout, 1 with expansion joints throughout.
    """
    match restraint:
        case Restraint.FREE:
            return 1 - poisson / 2
        case Restraint.HELD:
            return 1 - poisson**2
        case Restraint.EXPANSION_JOINTS:
            return poisson * 0 + 1.0


def expansion_of_bore_volume(
    restraint: Restraint, linear_expansion_per_k: Quantity, poisson: Quantity
) -> Quantity:
    """Volume a pipe gains per kelvin, relative [1/K]: 3 alpha; held lengthwise, 2 alpha (1 + nu)."""
    if restraint is Restraint.HELD:
        return 2 * linear_expansion_per_k * (1 + poisson)
    return 3 * linear_expansion_per_k


@formula(
    "s = bore_m ** 2 / (outside_m ** 2 - bore_m ** 2); "
    "compliance = (2 * (1 + poisson) + 4 * stretch_factor * s) / elasticity_pa",
    unit="1/Pa",
    basis=LAME,
    domain={
        "outside_m": (0.11, 0.2), "bore_m": (0.05, 0.1), "poisson": (0.2, 0.5), "elasticity_pa": (1e8, 2e11)
    },
)  # fmt: skip
def wall_compliance(
    outside_m: Quantity,
    bore_m: Quantity,
    elasticity_pa: Quantity,
    poisson: Quantity,
    stretch_factor: Quantity,
) -> Quantity:
    """Volume a pipe gains per pascal inside, relative [1/Pa].

    >>> steel = wall_compliance(0.0603, 0.0525, 200e9, 0.3, stretch_factor(Restraint.FREE, 0.3))
    >>> f"{steel * 1e12:.0f} per TPa"
    '73 per TPa'
    """
    s = bore_m**2 / (outside_m**2 - bore_m**2)
    return (2 * (1 + poisson) + 4 * stretch_factor * s) / elasticity_pa


@formula(
    "compliance = stretch_factor * diameter_m / (thickness_m * elasticity_pa)",
    unit="1/Pa",
    basis="handbook form for thin walls: F D / (t E)",
    domain={"elasticity_pa": (1e8, 2e11)},
)
def thin_wall_compliance(
    diameter_m: Quantity, thickness_m: Quantity, elasticity_pa: Quantity, stretch_factor: Quantity
) -> Quantity:
    """Volume a thin pipe gains per pascal inside, relative [1/Pa]; low by about 2t/D of itself."""
    return stretch_factor * diameter_m / (thickness_m * elasticity_pa)
