# SPDX-License-Identifier: Apache-2.0
"""Heat lost by a pipe, insulated or bare: per metre, and how water cools running or standing in it."""

from __future__ import annotations

import numpy as np

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

LAYERS = "steady conduction through a cylinder (Fourier), film coefficients at both surfaces"
COOLING = "exponential approach to the air's temperature, constant heat loss coefficient"


@formula(
    "resistance = log(outside_m / inside_m) / (2 * pi * conductivity_wmk)",
    unit="m.K/W",
    basis=LAYERS,
    domain={"outside_m": (0.1, 0.2), "inside_m": (0.02, 0.09)},
)
def resistance_of_layer(outside_m: Quantity, inside_m: Quantity, conductivity_wmk: Quantity) -> Quantity:
    """Thermal resistance of a pipe wall or insulation, per metre of pipe [m.K/W]."""
    return np.log(outside_m / inside_m) / (2 * np.pi * conductivity_wmk)


@formula("resistance = 1 / (pi * diameter_m * film_wm2k)", unit="m.K/W", basis=LAYERS)
def resistance_of_surface(diameter_m: Quantity, film_wm2k: Quantity) -> Quantity:
    """Thermal resistance of a surface, per metre of pipe [m.K/W].

    Outside in still indoor air the film coefficient is about 10 W/(m2.K) (common practice, no source).
    """
    return 1 / (np.pi * diameter_m * film_wm2k)


@formula(
    "loss_w_per_m = (water_c - air_c) / resistance_mkw",
    unit="W/m",
    basis=LAYERS,
    domain={"water_c": (50, 70), "air_c": (10, 30)},
)
def heat_loss_per_metre(water_c: Quantity, air_c: Quantity, resistance_mkw: Quantity) -> Quantity:
    """Heat lost per metre of pipe [W/m]; the resistance is the sum over layers and surfaces.

    >>> insulation = resistance_of_layer(0.068, 0.028, 0.035)
    >>> film = resistance_of_surface(0.068, 10.0)
    >>> f"{heat_loss_per_metre(60.0, 20.0, insulation + film):.1f} W/m"
    '8.9 W/m'
    """
    return (water_c - air_c) / resistance_mkw


@formula(
    "temperature_c = air_c + (start_c - air_c) "
    "* exp(-length_m / (resistance_mkw * mass_flow_kgs * heat_jkgk))",
    unit="degC",
    basis=COOLING,
    domain={"start_c": (50, 70), "air_c": (10, 30), "heat_jkgk": (4000, 4300)},
)
def temperature_along_pipe(
    start_c: Quantity,
    air_c: Quantity,
    length_m: Quantity,
    resistance_mkw: Quantity,
    mass_flow_kgs: Quantity,
    heat_jkgk: Quantity,
) -> Quantity:
    """Temperature of running water after a length of pipe [degC].

    >>> f"{temperature_along_pipe(60.0, 20.0, 100.0, 4.5, 0.1, 4185.0):.1f}"
    '57.9'
    """
    return air_c + (start_c - air_c) * np.exp(-length_m / (resistance_mkw * mass_flow_kgs * heat_jkgk))


@formula(
    "temperature_c = air_c + (start_c - air_c) * exp(-time_s / (resistance_mkw * heat_jmk))",
    unit="degC",
    basis=COOLING,
    domain={"start_c": (50, 70), "air_c": (10, 30), "heat_jmk": (500, 5000), "time_s": (0, 3600)},
)
def temperature_after_standing(
    start_c: Quantity, air_c: Quantity, time_s: Quantity, resistance_mkw: Quantity, heat_jmk: Quantity
) -> Quantity:
    """Temperature of water standing in a pipe after a time [degC]; heat of water and wall in J/(m.K)."""
    return air_c + (start_c - air_c) * np.exp(-time_s / (resistance_mkw * heat_jmk))


@formula(
    "time_s = resistance_mkw * heat_jmk * log((start_c - air_c) / (end_c - air_c))",
    unit="s",
    basis=COOLING,
    domain={"start_c": (60, 70), "end_c": (40, 55), "air_c": (10, 30), "heat_jmk": (500, 5000)},
)
def time_to_cool(
    start_c: Quantity, end_c: Quantity, air_c: Quantity, resistance_mkw: Quantity, heat_jmk: Quantity
) -> Quantity:
    """Time in which standing water cools from one temperature to another [s]."""
    return resistance_mkw * heat_jmk * np.log((start_c - air_c) / (end_c - air_c))
