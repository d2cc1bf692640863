# SPDX-License-Identifier: Apache-2.0
"""The units in which codes print their figures, and what they are in SI.

Factors come from the exact definitions in `riser.units`; a millimetre of water is 1 kg/m2 under standard
gravity.
"""

from __future__ import annotations

import re

from riser.units import (
    DAY_S,
    DEGREE_RAD,
    FOOT_M,
    GALLON_US_M3,
    HOUR_S,
    INCH_M,
    LITRE_M3,
    MINUTE_S,
    PSI_PA,
    STANDARD_GRAVITY_MS2,
)

TEXT, FLAG, BY_ROW = "text", "flag", "by row"
# NIST SP 811, appendix B.8: the conventional inch of water; not a definition, hence rounded.
_INCH_OF_WATER_PA = 249.08891

# printed unit -> (SI unit, factor)
_LINEAR: dict[str, tuple[str, float]] = {
    "in": ("m", INCH_M),
    "ft": ("m", FOOT_M),
    "mm": ("m", 1e-3),
    "cm": ("m", 1e-2),
    "m": ("m", 1.0),
    "in2": ("m2", INCH_M**2),
    "ft2": ("m2", FOOT_M**2),
    "mm2": ("m2", 1e-6),
    "m2": ("m2", 1.0),
    "gal": ("m3", GALLON_US_M3),
    "L": ("m3", LITRE_M3),
    "m3": ("m3", 1.0),
    "gpm": ("m3/s", GALLON_US_M3 / MINUTE_S),
    "gal/h": ("m3/s", GALLON_US_M3 / HOUR_S),
    "L/s": ("m3/s", LITRE_M3),
    "L/min": ("m3/s", LITRE_M3 / MINUTE_S),
    "m3/h": ("m3/s", 1 / HOUR_S),
    "m3/s": ("m3/s", 1.0),
    "psi": ("Pa", PSI_PA),
    "Pa": ("Pa", 1.0),
    "mbar": ("Pa", 1e2),
    "kPa": ("Pa", 1e3),
    "bar": ("Pa", 1e5),
    "MPa": ("Pa", 1e6),
    "in wc": ("Pa", _INCH_OF_WATER_PA),
    "mm wc": ("Pa", STANDARD_GRAVITY_MS2),
    "psi/ft": ("Pa/m", PSI_PA / FOOT_M),
    "kPa/m": ("Pa/m", 1e3),
    "in/ft": ("m/m", 1 / 12),
    "mm/m": ("m/m", 1e-3),
    "m/m": ("m/m", 1.0),
    "%": ("-", 1e-2),
    "ft/s": ("m/s", FOOT_M),
    "m/s": ("m/s", 1.0),
    "in/h": ("m/s", INCH_M / HOUR_S),
    "mm/h": ("m/s", 1e-3 / HOUR_S),
    "s": ("s", 1.0),
    "min": ("s", MINUTE_S),
    "h": ("s", HOUR_S),
    "day": ("s", DAY_S),
    "mg/L": ("kg/m3", 1e-3),
    "kg/m3": ("kg/m3", 1.0),
    "L/day": ("m3/s", LITRE_M3 / DAY_S),
    "L/(s m2)": ("m/s", LITRE_M3),
    "L/m2": ("m", LITRE_M3),
    "deg": ("rad", DEGREE_RAD),
    "K": ("K", 1.0),
    "C": ("C", 1.0),
    "kW": ("W", 1e3),
    "um": ("m", 1e-6),
}
# Figures that are counted in the code's own measure and stay as printed.
_COUNTED = frozenset({"-", "dfu", "wsfu", "LU", "Ng", "count", "diameters", "dfu/gpm", "persons"})

_NUMBER = re.compile(r"(?:(\d+)-)?(\d+)/(\d+)|(\d+(?:\.\d+)?)")


def si_unit(unit: str) -> str:
    """The SI unit a printed unit becomes; KeyError for an unknown one."""
    if unit in _COUNTED:
        return unit
    if unit in (TEXT, FLAG, BY_ROW):
        return "-"
    return "C" if unit == "F" else _LINEAR[unit][0]


def is_unit(unit: str) -> bool:
    """Whether a rule table may use this unit."""
    return unit in _LINEAR or unit in _COUNTED or unit in (TEXT, FLAG, BY_ROW, "F")


def printed_number(raw: object) -> float:
    """A number as codes print it: 3, 0.5, "3/8" or "1-1/4"; ValueError for anything else."""
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        return float(raw)
    found = _NUMBER.fullmatch(raw) if isinstance(raw, str) else None
    if not found:
        raise ValueError(f"{raw!r} is no number")
    whole, above, below, decimal = found.groups()
    if decimal is not None:
        return float(decimal)
    if int(below) == 0:
        raise ValueError(f"{raw!r} divides by zero")
    return int(whole or 0) + int(above) / int(below)


def si_value(raw: object, unit: str) -> float | str:
    """A printed figure in SI; texts stay texts, a flag is 1 or 0. ValueError where it cannot be read."""
    if unit == TEXT:
        if not isinstance(raw, str):
            raise ValueError(f"{raw!r} is no text")
        return raw
    if unit == FLAG:
        if not isinstance(raw, bool):
            raise ValueError(f"{raw!r} is neither true nor false")
        return float(raw)
    number = printed_number(raw)
    if unit in _COUNTED:
        return number
    return (number - 32) / 1.8 if unit == "F" else number * _LINEAR[unit][1]


def printed_text(raw: object, unit: str) -> str:
    """The figure with its unit, as the code prints it."""
    if unit == FLAG:
        return "yes" if raw else "no"
    return str(raw) if unit in ("-", TEXT) else f"{raw} {unit}"
