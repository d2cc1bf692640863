# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser import units
from riser.units import DIMENSIONS, UnitError, column_factor, converted, inner_name

# What the spellings of the trade are called by pint, an independent table of the same definitions.
PINT_NAMES = {
    '"': "inch", "'": "foot", "in": "inch", "ft": "foot", "feet": "foot", "m2": "m**2", "mm2": "mm**2",
    "cm2": "cm**2", "ft2": "foot**2", "sq ft": "foot**2", "deg": "degree", "degrees": "degree", "°": "degree",
    "barg": "bar", "bar(g)": "bar", "psig": "psi", "N/mm2": "newton/mm**2", "L/s": "liter/second",
    "l/s": "liter/second", "lps": "liter/second", "L/min": "liter/minute", "l/min": "liter/minute",
    "lpm": "liter/minute", "L/h": "liter/hour", "l/h": "liter/hour", "m3/h": "m**3/hour",
    "m3/s": "m**3/second",
    "gpm": "gallon/minute", "US gpm": "gallon/minute", "min": "minute", "h": "hour", "hr": "hour",
    "hours": "hour", "d": "day", "sec": "second", "s": "second",
}  # fmt: skip
REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
IN_PINT = [(name, spelling) for name, d in DIMENSIONS.items() if d.pint_unit for spelling in d.factors]


@pytest.mark.parametrize(("dimension", "spelling"), IN_PINT)
def test_every_spelling_of_the_trade_agrees_with_pint(dimension: str, spelling: str) -> None:
    name = PINT_NAMES.get(spelling, spelling)
    theirs = REGISTRY.Quantity(1.0, name).to(DIMENSIONS[dimension].pint_unit).magnitude
    factor, offset = column_factor(spelling, dimension)
    assert factor == pytest.approx(theirs, rel=1e-14)
    assert offset == 0.0


def test_the_exact_factors_are_exact() -> None:
    # Definitions of 1959 (yard 0.9144 m, pound 0.45359237 kg), of 1901 (gravity) and 231 cubic inches, from
    # memory, checked against pint above; the fractions here are worked out without floating point.
    inch = Fraction("0.9144") / 36
    assert Fraction(str(units.INCH_M)) == inch
    assert Fraction(str(units.FOOT_M)) == 12 * inch
    assert float(231 * inch**3) == units.GALLON_US_M3
    assert float(Fraction("0.45359237") * Fraction("9.80665") / inch**2) == units.PSI_PA
    assert float(231 * inch**3 / 60) == units.GPM_US_M3S


def test_cv_is_the_same_flow_at_one_psi_as_kv_at_one_bar() -> None:
    # Common practice: Kv = 0.865 Cv, to three figures.
    assert round(units.KV_PER_CV, 3) == 0.865
    at_one_psi = units.KV_PER_CV * math.sqrt(units.PSI_PA / units.BAR_PA) * units.CUBIC_METRE_PER_HOUR_M3S
    assert at_one_psi == pytest.approx(units.GPM_US_M3S, rel=1e-15)


@pytest.mark.parametrize(
    ("unit", "celsius"), [("C", 20.0), ("°F", -6.666666666666667), ("F", -6.666666666666667), ("K", -253.15)]
)
def test_temperatures_carry_their_offset(unit: str, celsius: float) -> None:
    assert converted(20.0, *column_factor(unit, "temperature")) == pytest.approx(celsius, rel=1e-14)


@pytest.mark.parametrize(
    ("unit", "dimension", "factor"),
    [
        ("yard", "length", 0.9144),
        ("mmHg", "pressure", 133.322387415),
        ("hectare", "area", 1e4),
        ("m³/h", "flow", 1 / 3600),
        ("″", "length", 0.0254),
        (" PSI ", "pressure", units.PSI_PA),
        ("MM", "length", 0.001),
    ],
)
def test_other_spellings_and_other_units_are_understood(unit: str, dimension: str, factor: float) -> None:
    assert column_factor(unit, dimension)[0] == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize(
    ("unit", "dimension", "says"),
    [
        ("bar", "length", "'bar' is a unit of pressure; length is written in m, mm"),
        ("mm", "pressure", "'mm' is a unit of length; pressure is written in bar"),
        ("%", "angle", "unit of share"),
        ("mmm", "length", "no unit of length riser knows"),
        ("", "length", "no unit between the brackets"),
        ("mPa", "pressure", "may be a slip; write kPa or MPa"),
        ("m**9999999", "length", "no unit of length"),
        ("9**9**9", "length", "no unit of length"),
        ("__import__('os')", "length", "no unit of length"),
        ("m" * 5000, "length", "no unit of length"),
        ("L/s", "temperature", "unit of flow"),
        ("yard", "temperature", "no unit of temperature"),
    ],
)
def test_a_unit_that_cannot_be_meant_is_refused_with_what_can(unit: str, dimension: str, says: str) -> None:
    with pytest.raises(UnitError, match=re.escape(says)):
        column_factor(unit, dimension)


@given(thousandths=st.integers(-(10**9), 10**9))
@settings(max_examples=200)
def test_millimetres_and_metres_give_the_same_figure(thousandths: int) -> None:
    in_metres = float(Decimal(thousandths) / 1000)
    assert converted(float(thousandths), *column_factor("mm", "length")) == in_metres


@given(
    value=st.floats(-1e9, 1e9, allow_subnormal=False),
    pair=st.sampled_from([(n, s) for n, d in DIMENSIONS.items() for s in d.factors]),
)
@settings(max_examples=200)
def test_there_and_back_gives_the_same_figure(value: float, pair: tuple[str, str]) -> None:
    dimension, spelling = pair
    factor, offset = column_factor(spelling, dimension)
    back = (converted(value, factor, offset) - offset) / factor
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_a_column_converts_like_its_figures() -> None:
    column = np.array([110.0, 103.0, 0.007])
    assert converted(column, 0.001).tolist() == [0.110, 0.103, 0.000007]


def test_names_inside_end_in_their_unit() -> None:
    assert inner_name("od", "length") == "od_m"
    assert inner_name("kv", "flow coefficient") == "kv_m3h"
