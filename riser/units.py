# SPDX-License-Identifier: Apache-2.0
"""Units at the border: exact factors by name, and the factor of a whole column.

Inside riser every figure is SI and its name ends in its unit. Units of the trade are met only where a file is
read or a sheet is written, and there a column is converted once: the unit in its header gives one factor and
one offset. What the trade writes every day is a table of exact factors below; any other unit goes to pint,
which is loaded only then (it costs a start-up more than reading a small job does).

Angles are radians, temperatures degrees Celsius, flow coefficients Kv (m3/h of water at 1 bar).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

# International yard and pound agreement, 1959: exact. The other feet and inches of history are not meant.
INCH_M = 0.0254
FOOT_M = 0.3048
POUND_KG = 0.45359237
# 3rd General Conference on Weights and Measures, 1901: exact by convention.
STANDARD_GRAVITY_MS2 = 9.80665
# 231 cubic inches, exact (NIST Handbook 44, appendix C).
GALLON_US_M3 = 0.003785411784
LITRE_M3 = 0.001
MINUTE_S = 60.0
HOUR_S = 3600.0
DAY_S = 86400.0
DEGREE_RAD = math.pi / 180.0
SQUARE_FOOT_M2 = FOOT_M**2
BAR_PA = 100_000.0
# Pound times gravity over square inch, as the exact fraction.
PSI_PA = 8896443230521 / 1290320000
GPM_US_M3S = GALLON_US_M3 / MINUTE_S
LPS_M3S = LITRE_M3
CUBIC_METRE_PER_HOUR_M3S = 1.0 / HOUR_S
FAHRENHEIT_DEGREE_C = 5.0 / 9.0
FAHRENHEIT_OF_0_C = 32.0
KELVIN_OF_0_C = 273.15
# Cv counts US gallons a minute at 1 psi, Kv cubic metres an hour at 1 bar; flow is as the root of pressure.
KV_PER_CV = GPM_US_M3S / CUBIC_METRE_PER_HOUR_M3S * math.sqrt(BAR_PA / PSI_PA)


class UnitError(ValueError):
    """A unit that is not known, or that measures something else; the sentence says what would be right."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """What a column measures.

    `suffix` ends the names of figures inside riser; `unit` is that inner unit as people write it; `pint_unit`
    the same for pint ("" where pint has no say); `factors` the trade's spellings with their exact factors.
    """

    name: str
    suffix: str
    unit: str
    pint_unit: str
    factors: dict[str, float]

    @property
    def examples(self) -> str:
        """Some units a person may write, for error sentences and the documentation."""
        return ", ".join(list(self.factors)[:5])


_LENGTH = {"m": 1.0, "mm": 0.001, "cm": 0.01, "in": INCH_M, "ft": FOOT_M}
_LENGTH |= {'"': INCH_M, "'": FOOT_M, "inch": INCH_M, "feet": FOOT_M, "foot": FOOT_M}
_AREA = {"m2": 1.0, "mm2": 1e-6, "cm2": 1e-4, "ft2": SQUARE_FOOT_M2, "sq ft": SQUARE_FOOT_M2}
_ANGLE = {"deg": DEGREE_RAD, "rad": 1.0, "°": DEGREE_RAD, "degree": DEGREE_RAD, "degrees": DEGREE_RAD}
_PRESSURE = {"bar": BAR_PA, "kPa": 1e3, "MPa": 1e6, "Pa": 1.0, "psi": PSI_PA, "mbar": 100.0}
_PRESSURE |= {"barg": BAR_PA, "bar(g)": BAR_PA, "psig": PSI_PA, "hPa": 100.0, "N/mm2": 1e6}
_FLOW = {"L/s": LPS_M3S, "l/s": LPS_M3S, "m3/h": CUBIC_METRE_PER_HOUR_M3S, "gpm": GPM_US_M3S, "m3/s": 1.0}
_FLOW |= {"L/min": LITRE_M3 / MINUTE_S, "l/min": LITRE_M3 / MINUTE_S, "lpm": LITRE_M3 / MINUTE_S}
_FLOW |= {"L/h": LITRE_M3 / HOUR_S, "l/h": LITRE_M3 / HOUR_S, "lps": LPS_M3S, "US gpm": GPM_US_M3S}
_TIME = {"s": 1.0, "min": MINUTE_S, "h": HOUR_S, "d": DAY_S, "sec": 1.0, "hr": HOUR_S, "hours": HOUR_S}
_TEMPERATURE = {"C": 1.0, "°C": 1.0, "F": FAHRENHEIT_DEGREE_C, "°F": FAHRENHEIT_DEGREE_C, "K": 1.0}
_TEMPERATURE |= {"degC": 1.0, "degF": FAHRENHEIT_DEGREE_C}
_COEFFICIENT = {"m3/h": 1.0, "Kv": 1.0, "Cv": KV_PER_CV}
# Written for MPa far more often than for a thousandth of a pascal; a factor of 10^9 is not to be guessed.
_REFUSED = {"mPa": "kPa or MPa"}
_SHARE = {"%": 0.01, "-": 1.0, "% of range": 0.01, "percent": 0.01, "‰": 0.001}

DIMENSIONS: dict[str, Dimension] = {
    d.name: d
    for d in (
        Dimension("length", "m", "m", "meter", _LENGTH),
        Dimension("area", "m2", "m2", "meter**2", _AREA),
        Dimension("angle", "rad", "rad", "radian", _ANGLE),
        Dimension("pressure", "pa", "Pa", "pascal", _PRESSURE),
        Dimension("flow", "m3s", "m3/s", "meter**3/second", _FLOW),
        Dimension("time", "s", "s", "second", _TIME),
        Dimension("temperature", "c", "C", "", _TEMPERATURE),
        Dimension("flow coefficient", "m3h", "m3/h", "", _COEFFICIENT),
        Dimension("share", "fraction", "-", "", _SHARE),
    )
}

_OFFSETS = {
    "F": -FAHRENHEIT_OF_0_C * FAHRENHEIT_DEGREE_C,
    "°F": -FAHRENHEIT_OF_0_C * FAHRENHEIT_DEGREE_C,
    "degF": -FAHRENHEIT_OF_0_C * FAHRENHEIT_DEGREE_C,
    "K": -KELVIN_OF_0_C,
}
# Capitals carry meaning in SI prefixes (mPa, MPa); these words are safe in any case.
_ANY_CASE = (
    "mm",
    "cm",
    "m",
    "in",
    "ft",
    "inch",
    "feet",
    "foot",
    "deg",
    "bar",
    "mbar",
    "psi",
    "kPa",
    "gpm",
    "min",
)
_SAME = str.maketrans(
    {"²": "2", "³": "3", "″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "º": "°", "·": "*"}
)
_UNIT_TEXT = re.compile(r"[A-Za-zµμΩ°%*/^() ][A-Za-z0-9µμΩ°%*/^(). _-]{0,30}")
_LONG_NUMBER = re.compile(r"\d{2,}|\^.*\^|\*\*.*\*\*")


def column_factor(unit_text: str, dimension: str) -> tuple[float, float]:
    """Factor and offset from a column's unit to riser's own: inner = outer * factor + offset.

    `dimension` is a key of DIMENSIONS. Raises UnitError for a unit of another dimension or no unit at all.

    >>> column_factor("mm", "length")
    (0.001, 0.0)
    """
    wanted = DIMENSIONS[dimension]
    text = " ".join(unit_text.translate(_SAME).split())
    spelling = _trade_spelling(text, wanted)
    if spelling is not None:
        offset = _OFFSETS.get(spelling, 0.0) if dimension == "temperature" else 0.0
        return wanted.factors[spelling], offset
    if not text:
        raise UnitError(f"no unit between the brackets; {dimension} is written in {wanted.examples}")
    if text in _REFUSED:
        raise UnitError(f"'{text}' may be a slip; write {_REFUSED[text]}")
    known_as = [d.name for d in DIMENSIONS.values() if text in d.factors]
    if known_as:
        raise UnitError(f"'{text}' is a unit of {known_as[0]}; {dimension} is written in {wanted.examples}")
    return _factor_by_pint(text, wanted), 0.0


def _trade_spelling(text: str, wanted: Dimension) -> str | None:
    """The key of `wanted.factors` that this text means, None if the trade does not write it so."""
    if text in wanted.factors:
        return text
    for word in _ANY_CASE:
        if text.lower() == word.lower() and word in wanted.factors:
            return word
    return None


def _factor_by_pint(text: str, wanted: Dimension) -> float:
    # pint evaluates what it is given: only short texts that look like a unit get that far.
    refused = UnitError(f"'{text[:40]}' is no unit of {wanted.name} riser knows; write {wanted.examples}")
    if not wanted.pint_unit or not _UNIT_TEXT.fullmatch(text) or _LONG_NUMBER.search(text):
        raise refused
    try:
        factor = float(_registry().Quantity(1, text).to(wanted.pint_unit).magnitude)
    except Exception as error:  # pint lets parser, attribute and arithmetic errors of many types through
        raise refused from error
    if not (math.isfinite(factor) and factor > 0):
        raise refused
    return factor


@cache
def _registry() -> Any:
    """Pint's units with exact fractions, so that an inch is 0.0254 m to the last digit."""
    from fractions import Fraction

    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


Number = TypeVar("Number", float, NDArray[np.float64])


def converted(value: Number, factor: float, offset: float = 0.0) -> Number:
    """Figures in riser's own unit from figures in a file's unit.

    Divides where the factor is one over a whole number: 103 mm / 1000 is the float nearest to 0.103, and
    103 * 0.001 is not. So a drawing in millimetres and one in metres give the same figures.
    """
    inverse = round(1.0 / factor)
    if inverse > 1 and 1.0 / inverse == factor:
        return value / inverse + offset
    return value * factor + offset


def inner_name(name: str, dimension: str) -> str:
    """The name of a quantity inside riser: `od` of length is `od_m`."""
    return f"{name}_{DIMENSIONS[dimension].suffix}"
