# SPDX-License-Identifier: Apache-2.0
"""Printed figures become SI once, by exact definitions."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from riser.rules.printed_units import is_unit, printed_number, printed_text, si_unit, si_value

# how pint calls the units whose printed name differs
PINT = {
    "in2": "in**2",
    "ft2": "ft**2",
    "mm2": "mm**2",
    "m2": "m**2",
    "m3": "m**3",
    "gpm": "gallon/minute",
    "gal": "gallon",
    "gal/h": "gallon/hour",
    "m3/h": "m**3/hour",
    "m3/s": "m**3/s",
    "in/ft": "in/ft",
    "%": "percent",
    "in/h": "in/hour",
    "mm/h": "mm/hour",
    "kg/m3": "kg/m**3",
    "L/(s m2)": "L/(s*m**2)",
    "L/m2": "L/m**2",
    "deg": "degree",
    "min": "minute",
    "h": "hour",
    "um": "micrometer",
}
# psi and ft here are the international ones
CHECKED = ["in", "ft", "mm", "cm", "m", "L", "L/s", "L/min", "psi", "Pa", "mbar", "kPa", "bar", "MPa"]
CHECKED += ["psi/ft", "kPa/m", "mm/m", "ft/s", "m/s", "s", "day", "mg/L", "L/day", "kW", *PINT]


@pytest.mark.parametrize("unit", CHECKED)
def test_every_factor_agrees_with_an_independent_unit_library(unit: str) -> None:
    registry: pint.UnitRegistry[float] = pint.UnitRegistry()
    target = {"-": "dimensionless", "m/m": "dimensionless", "m3/s": "m**3/s", "kg/m3": "kg/m**3"}
    target |= {"m2": "m**2", "m3": "m**3"}
    si = si_unit(unit)
    expected = registry.Quantity(1.0, PINT.get(unit, unit)).to(target.get(si, si)).magnitude
    assert math.isclose(float(si_value(1, unit)), expected, rel_tol=1e-12)


def test_water_columns_are_the_conventional_ones() -> None:
    """NIST SP 811, appendix B.8, prints 249.0889 and 9.80665 Pa for an inch and a millimetre of water."""
    assert float(si_value(1, "in wc")) == pytest.approx(249.0889, abs=5e-5)
    assert float(si_value(1, "mm wc")) == pytest.approx(9.80665, abs=5e-6)


@pytest.mark.parametrize(
    ("raw", "number"),
    [(3, 3.0), (0.5, 0.5), ("3/8", 0.375), ("1-1/4", 1.25), ("2-1/2", 2.5), ("12", 12.0), ("1.5", 1.5)],
)
def test_numbers_are_read_as_codes_print_them(raw: object, number: float) -> None:
    assert printed_number(raw) == number


@pytest.mark.parametrize("raw", ["", "1-", "1/0", "4 in", "-1", "1e3", "three", True, None, [1]])
def test_what_is_no_printed_number_is_refused(raw: object) -> None:
    with pytest.raises(ValueError, match=r"is no number|divides by zero"):
        printed_number(raw)


@settings(max_examples=50)
@given(st.integers(0, 60), st.integers(0, 15))
def test_mixed_numbers_are_exact_in_sixteenths(whole: int, sixteenths: int) -> None:
    assert printed_number(f"{whole}-{sixteenths}/16") == whole + sixteenths / 16


def test_texts_flags_and_temperatures() -> None:
    assert si_value("air gap", "text") == "air gap"
    assert (si_value(True, "flag"), si_value(False, "flag")) == (1.0, 0.0)
    assert math.isclose(float(si_value(140, "F")), 60.0)
    with pytest.raises(ValueError, match="no text"):
        si_value(3, "text")
    with pytest.raises(ValueError, match="neither true nor false"):
        si_value(1, "flag")


def test_the_printed_text_keeps_figure_and_unit() -> None:
    assert printed_text("1-1/4", "in") == "1-1/4 in"
    assert printed_text(0.5, "-") == "0.5"
    assert printed_text(True, "flag") == "yes"


def test_an_unknown_unit_is_known_to_be_unknown() -> None:
    assert not is_unit("inch")
    assert is_unit("gpm")
