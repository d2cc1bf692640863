# SPDX-License-Identifier: Apache-2.0
"""Drains and vents by fixture units: codes that give every fixture a weight and print what each size carries.

Words: *fixture units* are the weight of a fixture; a *branch interval* is a length of stack, about a storey,
into which branches run; an *offset* is a horizontal piece in a stack; the *developed length* of a vent is
measured along the pipe.
"""

from __future__ import annotations

from riser.audit import Derived, Finding
from riser.network.model import Model
from riser.rules import Rules, RuleSet
from riser.sizing.fixture_units.building_sizes import BuildingSizes, building_sizes
from riser.sizing.fixture_units.explaining import FIGURES, explained
from riser.sizing.fixture_units.findings import findings_of
from riser.sizing.fixture_units.table import size_table
from riser.sizing.size_table import SizeTable


def sizes(model: Model, rule_set: RuleSet) -> SizeTable:
    """The sizes of all soil, waste and vent pipes."""
    return size_table(building_sizes(model, rule_set))


def explain(model: Model, rule_set: RuleSet, item: str, figure: str) -> Derived:
    """The derivation of one figure of one pipe."""
    return explained(building_sizes(model, rule_set), item, figure)


def findings(model: Model, rule_set: RuleSet, rules: Rules) -> list[Finding]:
    """What the sizes say: D12, D13, D14, M03."""
    return findings_of(building_sizes(model, rule_set), rules)


__all__ = [
    "FIGURES",
    "BuildingSizes",
    "building_sizes",
    "explain",
    "explained",
    "findings",
    "findings_of",
    "size_table",
    "sizes",
]
