# SPDX-License-Identifier: Apache-2.0
"""The still-water pressure of a required test at the top, the bottom and the gauge, told as a tree."""

from __future__ import annotations

import numpy as np

from riser.audit import Assumed, Derived, Given, InFile, Node, formula, largest, smallest, total
from riser.errors import NotInRules
from riser.hydraulics.quantity import Quantity
from riser.hydraulics.static_head import pressure_at_level
from riser.hydraulics.water import density
from riser.proving.required import (
    PLACES,
    TEST_TEMPERATURE_C,
    RequiredTest,
    level_m,
    reference_level_m,
)
from riser.proving.tests_of_rules import GASES
from riser.units import STANDARD_GRAVITY_MS2


@formula("pressure_pa = factor * working_pa", unit="Pa", basis="a multiple of the working pressure")
def multiple_of_working(factor: Quantity, working_pa: Quantity) -> Quantity:
    """The test pressure as a multiple of the working pressure [Pa]."""
    return factor * working_pa


def required_pressure(test: RequiredTest, place: str) -> Derived:
    """The pressure at `top`, `bottom` or `gauge` [Pa] with its derivation.

    Raises NotInRules where it hangs on a working pressure that is not known, or is set by the designer.
    """
    if place not in PLACES:
        raise ValueError(f"{place} is not one of {', '.join(PLACES)}")
    if np.isnan(test.pressure_pa[place]):
        reason = "set by the designer" if not _states(test) else "a multiple of a working pressure not known"
        raise NotInRules(f"{test.test} of {test.span.riser}: its pressure is {reason} ({test.clause})")
    level = _level_given(f"level of the {place}", level_m(test.span, place), place)
    name = f"pressure at the {place}"
    if test.row.has("head"):
        return _under_water(test, level, name)
    asked = _asked(test)
    if test.medium in GASES:
        return largest(name, [asked], "a gas has one pressure everywhere")
    reference = reference_level_m(test.span, test.row)
    known = _level_given(f"level of the {test.reference_point}", reference, "reference point")
    return pressure_at_level.derive(asked, known, level, _water(), _gravity(), name=name)


def _states(test: RequiredTest) -> bool:
    return any(test.row.has(column) for column in ("pressure", "factor", "over"))


def _under_water(test: RequiredTest, level: Given, name: str) -> Derived:
    surface = _surface(test)
    lower = smallest("level, not above the water", [level, surface], "no pressure above the water")
    none = Given("pressure at the surface", 0.0, "Pa", Assumed("the surface is open to the air"))
    return pressure_at_level.derive(none, surface, lower, _water(), _gravity(), name=name)


def _surface(test: RequiredTest) -> Derived:
    """The level to which a drain is filled [m]."""
    top = _level_given("level of the top", test.span.top_level_m, "top")
    head = test.row.given("head", "head above every joint")
    wanted = total("level for the head", [top, head], test.clause)
    end = _level_given("end of the riser", test.span.end_level_m, "end")
    return smallest(
        "level of the water", [wanted, end], f"{test.clause}; water stands no higher than the riser"
    )


def _asked(test: RequiredTest) -> Derived:
    """The pressure of the rule [Pa]: the largest of what it states."""
    parts: list[Node] = []
    if test.row.has("pressure"):
        parts.append(test.row.given("pressure", "pressure of the rule"))
    if not np.isnan(test.working_pa):
        working = Given("working pressure", test.working_pa, "Pa", Assumed("as given for this riser"))
        if test.row.has("factor"):
            parts.append(multiple_of_working.derive(test.row.given("factor"), working))
        if test.row.has("over"):
            parts.append(total("above working pressure", [working, test.row.given("over")], test.clause))
    return largest("pressure asked for", parts, test.clause)


def _level_given(name: str, level_m: float, column: str) -> Given:
    return Given(name, level_m, "m", InFile("parts.csv, nodes.csv, floors.csv", 0, column))


def _water() -> Derived:
    temperature = Given(
        "temperature of the water", TEST_TEMPERATURE_C, "C", Assumed("water at room temperature")
    )
    return density.derive(temperature, name="density of the water")


def _gravity() -> Given:
    return Given("gravity", STANDARD_GRAVITY_MS2, "m/s2", Assumed("standard gravity, CGPM 1901"))
