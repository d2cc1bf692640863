# SPDX-License-Identifier: Apache-2.0
"""Sizes of drains and vents under the rule set a project has chosen for drainage."""

from __future__ import annotations

from riser.audit import Derived, Finding
from riser.audit.finding import CANNOT_JUDGE
from riser.errors import NotInRules
from riser.network.model import Model
from riser.network.where import Place
from riser.rules import Rules
from riser.sizing.procedures import drainage_procedure
from riser.sizing.reporting import sizing_finding
from riser.sizing.size_table import SizeTable


def sizes(model: Model, rules: Rules) -> SizeTable:
    """What every soil, waste and vent pipe needs, what is drawn and what is left.

    Raises NotInRules where the project has chosen no rule set for drainage, or one that cannot size;
    InputErrors where the design inputs in project.toml are not in order.
    """
    rule_set = rules.subject("drainage")
    return drainage_procedure(rule_set).sizes(model, rule_set)


def explain(model: Model, rules: Rules, item: str, figure: str = "size") -> Derived:
    """The derivation of a figure of one run, joint, fixture or stack, by its id.

    Figures: size, load, drawn, capacity, margin, length, fall, intervals, flow, velocity. Raises InputErrors
    for an unknown id or figure, NotInRules where the rules give no such figure.
    """
    rule_set = rules.subject("drainage")
    return drainage_procedure(rule_set).explain(model, rule_set, item, figure)


def findings(model: Model, rules: Rules) -> list[Finding]:
    """Pipes too small, vents missing, and what cannot be judged under the rules of the project."""
    try:
        rule_set = rules.subject("drainage")
        return drainage_procedure(rule_set).findings(model, rule_set, rules)
    except NotInRules as reason:
        whole = Place("", "", "", "whole job")
        says = f"The sizes of drains and vents cannot be judged: {reason}."
        return [sizing_finding(model, rules, CANNOT_JUDGE, whole, ("rules.drainage", "sizes"), says)]
