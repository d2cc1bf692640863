# SPDX-License-Identifier: Apache-2.0
"""Which procedure sizes a subject: the rule set names it, and each has a module of its own."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from riser.audit import Derived, Finding
from riser.errors import NotInRules
from riser.network.model import Model
from riser.rules import Rules, RuleSet
from riser.sizing import fixture_units
from riser.sizing.size_table import SizeTable


@dataclass(frozen=True)
class Procedure:
    """One way to size the drains and vents of a model under a rule set."""

    sizes: Callable[[Model, RuleSet], SizeTable]
    explain: Callable[[Model, RuleSet, str, str], Derived]
    findings: Callable[[Model, RuleSet, Rules], list[Finding]]


DRAINAGE: dict[str, Procedure] = {
    "fixture_units": Procedure(fixture_units.sizes, fixture_units.explain, fixture_units.findings),
}


def drainage_procedure(rule_set: RuleSet) -> Procedure:
    """The procedure by which a rule set sizes drains; NotInRules where it names none that riser knows."""
    try:
        name = str(rule_set.table("procedure").exact(subject="drainage").cell("name").value)
    except NotInRules:
        raise NotInRules(f"{rule_set.title} names no procedure by which drains are sized") from None
    if name not in DRAINAGE:
        raise NotInRules(f"{rule_set.title} sizes drains by {name}, which riser does not know")
    return DRAINAGE[name]
