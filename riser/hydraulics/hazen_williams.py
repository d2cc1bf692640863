# SPDX-License-Identifier: Apache-2.0
"""Friction by Hazen and Williams: for water of about 5 to 25 degC in turbulent flow, in pipes above 50 mm.

Two forms are in use. The general SI form prints 10.67 and the exponents 1.852 and 4.8704; the form of the
sprinkler standards prints 4.52 (gpm, psi, inches) and 1.85 and 4.87, and is 0.2 to 0.8 % higher.
"""

from __future__ import annotations

from riser.audit import formula
from riser.hydraulics.quantity import Quantity
from riser.units import FOOT_M, GPM_US_M3S, INCH_M, PSI_PA

GENERAL = "Hazen-Williams, SI form: h = 10.67 L Q^1.852 / (C^1.852 D^4.8704)"
FIRE = (
    "Hazen-Williams as printed for sprinklers: p = 4.52 Q^1.85 / (C^1.85 d^4.87), psi/ft, gpm, in (NFPA 13)"
)
EXPONENT = 1.852

_C = {"hazen_williams_c": (60.0, 160.0)}
_BORE = {"diameter_m": (0.01, 0.6)}


@formula(
    "resistance = 10.67 * length_m / (hazen_williams_c ** 1.852 * diameter_m ** 4.8704)",
    unit="m/(m3/s)^1.852",
    basis=GENERAL,
    domain={**_C, **_BORE},
)
def resistance_hazen_williams(
    length_m: Quantity, diameter_m: Quantity, hazen_williams_c: Quantity
) -> Quantity:
    """Head lost per flow to the power 1.852 [m/(m3/s)^1.852]."""
    return 10.67 * length_m / (hazen_williams_c**EXPONENT * diameter_m**4.8704)


@formula(
    "loss_m = 10.67 * length_m * flow_m3s ** 1.852 / (hazen_williams_c ** 1.852 * diameter_m ** 4.8704)",
    unit="m",
    basis=GENERAL,
    domain={**_C, **_BORE, "flow_m3s": (1e-4, 0.1)},
)
def head_loss_hazen_williams(
    flow_m3s: Quantity, length_m: Quantity, diameter_m: Quantity, hazen_williams_c: Quantity
) -> Quantity:
    """Head lost along a full pipe [m], flow zero or more.

    >>> f"{head_loss_hazen_williams(0.02, 100.0, 0.15, 120.0):.2f}"
    '1.11'
    """
    return 10.67 * length_m * flow_m3s**EXPONENT / (hazen_williams_c**EXPONENT * diameter_m**4.8704)


@formula(
    "flow_gpm = flow_m3s / (231 * 0.0254 ** 3 / 60); bore_in = diameter_m / 0.0254; "
    "loss_psi_per_ft = 4.52 * flow_gpm ** 1.85 / (hazen_williams_c ** 1.85 * bore_in ** 4.87); "
    "psi = 4.4482216152605 / 0.0254 ** 2; loss_pa_per_m = loss_psi_per_ft * psi / 0.3048",
    unit="Pa/m",
    basis=FIRE,
    domain={**_C, **_BORE, "flow_m3s": (1e-4, 0.1)},
)
def pressure_loss_fire(flow_m3s: Quantity, diameter_m: Quantity, hazen_williams_c: Quantity) -> Quantity:
    """Pressure lost per metre of fire pipe by the sprinkler form [Pa/m], flow zero or more.

    >>> f"{pressure_loss_fire(0.02, 0.15, 120.0):.0f}"
    '108'
    """
    flow_gpm, bore_in = flow_m3s / GPM_US_M3S, diameter_m / INCH_M
    loss_psi_per_ft = 4.52 * flow_gpm**1.85 / (hazen_williams_c**1.85 * bore_in**4.87)
    return loss_psi_per_ft * PSI_PA / FOOT_M


@formula(
    "factor = (hazen_williams_c / table_c) ** 1.85",
    unit="",
    basis="same head lost by the 1.85 power form at two values of C",
    domain={"table_c": (100.0, 150.0), **_C},
)
def equivalent_length_factor(hazen_williams_c: Quantity, table_c: Quantity) -> Quantity:
    """Multiplier for equivalent lengths tabulated for another C [-]."""
    return (hazen_williams_c / table_c) ** 1.85
