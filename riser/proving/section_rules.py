# SPDX-License-Identifier: Apache-2.0
"""Which test of the rule set a section is planned for, and what that test asks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from riser.errors import NotInRules, Refused
from riser.network.systems import System
from riser.proving.tests_of_rules import GASES, asked_pa, rows_of_system, suits_working
from riser.rules import Row, Rules

# The rule's own words for "the reading is taken at the low end of the section": a gauge hangs at the fill
# point, and a designer's pressure without a level is taken there. riser's reading, no source.
AT_THE_LOW_POINT = ("low point", "gauge", "by design")


@dataclass(frozen=True)
class PlannedTest:
    """One test of a rule set for one group of systems.

    `head_m` is the head that every joint has to see (NaN where the rule gives a pressure), `asked_pa` the
    pressure at the reference point (NaN where it gives a head). `stages` are all stages of the test.
    """

    row: Row
    stages: tuple[Row, ...]
    systems: frozenset[System]
    head_m: float
    asked_pa: float

    @property
    def name(self) -> str:
        """The rule set's name of the test."""
        return str(self.row.cell("test").value)

    @property
    def medium(self) -> str:
        """Water, air, smoke ..."""
        return str(self.row.cell("medium").value)

    @property
    def reference(self) -> str:
        """Where the pressure of the rule holds."""
        return str(self.row.cell("reference_point").value)

    @property
    def clause(self) -> str:
        """The clause, as cited."""
        return str(self.row.cell("test").clause.text)

    @property
    def at_low_point(self) -> bool:
        """Whether the pressure is set at the low end; else every joint sees at least what is asked."""
        return self.reference in AT_THE_LOW_POINT


def planned_test(
    rules: Rules, system: System, *, plastic: bool, working_pa: float = float("nan"), named: str = ""
) -> PlannedTest:
    """The first water test that suits the system, its material and its working pressure, or the one named.

    Raises NotInRules with the reason where there is none, Refused for gas where it may not be used.
    """
    rows = rows_of_system(rules, system)
    if not rows:
        raise NotInRules(f"the rules chosen have no test for {system.label}")
    wanted = [row for row in rows if _is_wanted(row, plastic, working_pa, named)]
    if not wanted:
        raise NotInRules(f"the rules chosen have no {named or 'water'} test that suits {system.label} here")
    row = wanted[0]
    check_gas(rules, row, plastic=plastic)
    if str(row.cell("medium").value) != "water":
        raise NotInRules(
            f"sections are planned for water; {row.cell('test').value} is the engineer's to plan"
        )
    head = row.number("head") if row.has("head") else float("nan")
    asked = asked_pa(row, working_pa)
    if np.isnan(head) and np.isnan(asked):
        states = any(row.has(column) for column in ("factor", "over"))
        why = "hangs on the working pressure, which is not given" if states else "is set by the designer"
        raise NotInRules(f"the pressure of {row.cell('test').value} {why} ({row.cell('test').clause.text})")
    stages = tuple(r for r in rows if r.cell("test").value == row.cell("test").value)
    covered = frozenset(System[word.upper()] for word in str(row.cell("systems").value).split(", "))
    return PlannedTest(row, stages, covered, head, asked)


def _is_wanted(row: Row, plastic: bool, working_pa: float, named: str) -> bool:
    if int(row.number("stage")) != 1 or not suits_working(row, working_pa):
        return False
    if named:
        return str(row.cell("test").value) == named
    bars_plastic = row.has("on_plastic") and not row.cell("on_plastic").required
    return str(row.cell("medium").value) == "water" and not (plastic and bars_plastic)


def check_gas(rules: Rules, row: Row, *, plastic: bool) -> None:
    """Refused where the rules, or good practice, do not allow a test under gas here."""
    if str(row.cell("medium").value) not in GASES:
        return
    name, pressure = str(row.cell("test").value), row.number("pressure") if row.has("pressure") else np.inf
    reasons = []
    if plastic and row.has("on_plastic") and not row.cell("on_plastic").required:
        reasons.append(f"{name}: gas is not allowed on plastic pipe ({row.cell('on_plastic').clause.text})")
    elif plastic:
        cell = rules.limit("tests", "air_on_plastic_max")
        if pressure > cell.number:
            reasons.append(
                f"{name}: {pressure / 1e3:.1f} kPa of gas on plastic is above the ceiling of"
                f" {cell.number / 1e3:.1f} kPa ({cell.clause.text})"
            )
    if reasons:
        raise Refused(reasons)
