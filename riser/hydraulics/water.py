# SPDX-License-Identifier: Apache-2.0
"""Water: density, viscosity, expansion, compressibility, boiling, heat; gravity and air pressure on site.

Liquid properties are the correlations of IAPWS SR6-08(2011) at 0.1 MPa, where building water differs by less
than 0.1 % for each 20 bar of pressure (density: see `density_under_pressure`). The release holds from -20 to
110 degC; here 0 to 95 degC. Vapour pressure is IAPWS SR1-86(1992) (Wagner and Pruss 1993).
"""

from __future__ import annotations

import numpy as np
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.core import gravity

from riser.audit import formula
from riser.hydraulics.quantity import Quantity

LIQUID = "IAPWS SR6-08(2011), Revised Supplementary Release on Properties of Liquid Water at 0.1 MPa"
VAPOUR = "IAPWS SR1-86(1992), vapour pressure equation"
_VALID = {"temperature_c": (0.0, 95.0)}

Terms = tuple[tuple[float, float], ...]

# Coefficient and exponent of each term; x = 10/(593 K - T), y = 10/(T - 232 K).
_VOLUME_0 = 1.93763157e-2
_VOLUME_X: Terms = (
    (6.74458446e3, 4), (-2.22521604e5, 5), (1.00231247e8, 7), (-1.63552118e9, 8), (8.32299658e9, 9),
)  # fmt: skip
_VOLUME_Y: Terms = (
    (5.78545292e-3, 1), (-1.53195665e-2, 2), (3.11337859e-2, 3),
    (-4.23546241e-2, 4), (3.38713507e-2, 5), (-1.19946761e-2, 6),
)  # fmt: skip
_SQUEEZE_X: Terms = (
    (-7.5245878e-6, 1), (-1.3767418e-2, 3), (1.0627293e1, 5), (-2.0457795e2, 6), (1.2037414e3, 7),
)  # fmt: skip
_SQUEEZE_Y: Terms = (
    (-3.1091470e-6, 1), (2.8964919e-5, 3), (-1.3112763e-4, 4), (3.0410453e-4, 5),
    (-3.9034594e-4, 6), (2.3403117e-4, 7), (-4.8510101e-5, 9),
)  # fmt: skip
_VISCOSITY: Terms = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40))
_CONDUCTIVITY: Terms = ((1.6630, -1.15), (-1.7781, -3.4), (1.1567, -6.0), (-0.432115, -7.6))
_HEAT_X: Terms = ((-1.661470539e5, 4), (2.708781640e6, 5), (-1.557191544e8, 7))
_HEAT_Y: Terms = ((-8.237426256e-1, 2), (1.908956353, 3), (-2.017597384, 4), (8.546361348e-1, 5))
_HEAT_0 = -8.983025854
_VAPOUR: Terms = (
    (-7.85951783, 1), (1.84408259, 1.5), (-11.7866497, 3), (22.6807411, 3.5), (-15.9618719, 4), (1.80122502,
    7.5),
)  # fmt: skip


def _growth(terms: Terms, sign: int) -> Terms:
    """Terms of the derivative by temperature, times 10 K: x grows with T (+1), y shrinks (-1)."""
    return tuple((sign * n * c, n + 1) for c, n in terms)


def _curvature(terms: Terms) -> Terms:
    """Terms of the second derivative by temperature, times 100 K2."""
    return tuple((n * (n + 1) * c, n + 2) for c, n in terms)


def _sum(symbol: Quantity, terms: Terms) -> Quantity:
    return sum(c * symbol**n for c, n in terms)


def _text(symbol: str, terms: Terms) -> str:
    return " + ".join(f"{c!r} * {symbol} ** {n!r}" for c, n in terms)


_X, _Y = "10 / (319.85 - temperature_c)", "10 / (temperature_c + 41.15)"
_VOLUME = (
    f"x = {_X}; y = {_Y}; "
    f"volume = 461.51805 * 10 / 1e5 * ({_VOLUME_0!r} + {_text('x', _VOLUME_X)} + {_text('y', _VOLUME_Y)})"
)


def _x_and_y(temperature_c: Quantity) -> tuple[Quantity, Quantity]:
    return 10 / (319.85 - temperature_c), 10 / (temperature_c + 41.15)


def _specific_volume(temperature_c: Quantity) -> Quantity:
    x, y = _x_and_y(temperature_c)
    return 461.51805 * 10 / 1e5 * (_VOLUME_0 + _sum(x, _VOLUME_X) + _sum(y, _VOLUME_Y))


@formula(f"{_VOLUME}; density = 1 / volume", unit="kg/m3", basis=LIQUID, valid=_VALID)
def density(temperature_c: Quantity) -> Quantity:
    """Density of water at 0.1 MPa [kg/m3].

    >>> f"{density(20.0):.1f}"
    '998.2'
    """
    return 1 / _specific_volume(temperature_c)


@formula(
    f"{_VOLUME}; growth = 461.51805 / 1e5 * "
    f"({_text('x', _growth(_VOLUME_X, 1))} + {_text('y', _growth(_VOLUME_Y, -1))}); "
    "expansion = growth / volume",
    unit="1/K",
    basis=LIQUID,
    valid=_VALID,
    domain={"temperature_c": (10.0, 95.0)},
)
def thermal_expansion(temperature_c: Quantity) -> Quantity:
    """Volume expansion of water per kelvin at constant pressure [1/K]; negative below 4 degC.

    >>> f"{thermal_expansion(20.0) * 1e6:.0f} per million"
    '207 per million'
    """
    x, y = _x_and_y(temperature_c)
    growth = 461.51805 / 1e5 * (_sum(x, _growth(_VOLUME_X, 1)) + _sum(y, _growth(_VOLUME_Y, -1)))
    return growth / _specific_volume(temperature_c)


@formula(
    f"{_VOLUME}; squeeze = 461.51805 * 10 / 1e5 ** 2 * "
    f"({_text('x', _SQUEEZE_X)} + {_text('y', _SQUEEZE_Y)}); compressibility = -squeeze / volume",
    unit="1/Pa",
    basis=LIQUID,
    valid=_VALID,
)
def compressibility(temperature_c: Quantity) -> Quantity:
    """Volume lost per pascal at constant temperature, one over the bulk modulus [1/Pa].

    >>> f"{1e-9 / compressibility(20.0):.2f} GPa"
    '2.18 GPa'
    """
    x, y = _x_and_y(temperature_c)
    squeeze = 461.51805 * 10 / 1e5**2 * (_sum(x, _SQUEEZE_X) + _sum(y, _SQUEEZE_Y))
    return -squeeze / _specific_volume(temperature_c)


@formula(
    "density = density_at_rest_kgm3 * (1 + compressibility_per_pa * gauge_pressure_pa)",
    unit="kg/m3",
    basis="definition of compressibility, first order",
    domain={"compressibility_per_pa": (4e-10, 5e-10), "gauge_pressure_pa": (0, 4e6)},
)
def density_under_pressure(
    density_at_rest_kgm3: Quantity, compressibility_per_pa: Quantity, gauge_pressure_pa: Quantity
) -> Quantity:
    """Density of water under pressure [kg/m3]."""
    return density_at_rest_kgm3 * (1 + compressibility_per_pa * gauge_pressure_pa)


@formula(
    f"t = (temperature_c + 273.15) / 300; viscosity = 1e-6 * ({_text('t', _VISCOSITY)})",
    unit="Pa.s",
    basis=LIQUID,
    valid=_VALID,
)
def dynamic_viscosity(temperature_c: Quantity) -> Quantity:
    """Dynamic viscosity of water [Pa.s].

    >>> f"{dynamic_viscosity(20.0) * 1000:.3f} mPa.s"
    '1.002 mPa.s'
    """
    return 1e-6 * _sum((temperature_c + 273.15) / 300, _VISCOSITY)


@formula(
    "viscosity_m2s = dynamic_viscosity_pas / density_kgm3",
    unit="m2/s",
    basis="definition",
    domain={"dynamic_viscosity_pas": (3e-4, 1.8e-3), "density_kgm3": (960, 1000)},
)
def kinematic_viscosity(dynamic_viscosity_pas: Quantity, density_kgm3: Quantity) -> Quantity:
    """Kinematic viscosity [m2/s]."""
    return dynamic_viscosity_pas / density_kgm3


def kinematic_viscosity_of_water(temperature_c: Quantity) -> Quantity:
    """Kinematic viscosity of water at a temperature [m2/s].

    >>> f"{kinematic_viscosity_of_water(60.0) * 1e6:.3f} mm2/s"
    '0.474 mm2/s'
    """
    return kinematic_viscosity(dynamic_viscosity(temperature_c), density(temperature_c))


@formula(
    f"t = (temperature_c + 273.15) / 300; conductivity = {_text('t', _CONDUCTIVITY)}",
    unit="W/(m.K)",
    basis=LIQUID,
    valid=_VALID,
)
def thermal_conductivity(temperature_c: Quantity) -> Quantity:
    """Thermal conductivity of water [W/(m.K)]."""
    return _sum((temperature_c + 273.15) / 300, _CONDUCTIVITY)


@formula(
    f"x = {_X}; y = {_Y}; tau = (temperature_c + 273.15) / 10; heat = -461.51805 * "
    f"({_HEAT_0!r} + tau * ({_text('x', _curvature(_HEAT_X))} + {_text('y', _curvature(_HEAT_Y))}))",
    unit="J/(kg.K)",
    basis=LIQUID,
    valid=_VALID,
)
def specific_heat(temperature_c: Quantity) -> Quantity:
    """Heat capacity of water at constant pressure [J/(kg.K)].

    >>> f"{specific_heat(20.0):.0f}"
    '4184'
    """
    x, y = _x_and_y(temperature_c)
    tau = (temperature_c + 273.15) / 10
    return -461.51805 * (_HEAT_0 + tau * (_sum(x, _curvature(_HEAT_X)) + _sum(y, _curvature(_HEAT_Y))))


@formula(
    f"t = 1 - (temperature_c + 273.15) / 647.096; "
    f"pressure = 22.064e6 * exp(({_text('t', _VAPOUR)}) / (1 - t))",
    unit="Pa",
    basis=VAPOUR,
    valid=_VALID,
)
def vapour_pressure(temperature_c: Quantity) -> Quantity:
    """Pressure at which water boils, absolute [Pa].

    >>> f"{vapour_pressure(60.0) / 1000:.2f} kPa"
    '19.95 kPa'
    """
    t = 1 - (temperature_c + 273.15) / 647.096
    return 22.064e6 * np.exp(_sum(t, _VAPOUR) / (1 - t))


def gravity_at(latitude_deg: float, altitude_m: float = 0.0) -> float:
    """Acceleration of free fall [m/s2], by the library `fluids` (CRC Handbook formula).

    >>> f"{gravity_at(51.5):.3f}"
    '9.812'
    """
    return float(gravity(latitude_deg, altitude_m))


def atmospheric_pressure(altitude_m: float) -> float:
    """Pressure of the 1976 standard atmosphere, absolute [Pa], by the library `fluids`.

    >>> f"{atmospheric_pressure(1500.0) / 1000:.2f} kPa"
    '84.56 kPa'
    """
    return float(ATMOSPHERE_1976(altitude_m).P)
