# SPDX-License-Identifier: Apache-2.0
"""Clauses by what they demand, so that no procedure names the clause numbers of one code."""

from __future__ import annotations

from riser.audit import COMMON_PRACTICE
from riser.errors import NotInRules
from riser.rules import Cell, RuleSet


def demand_basis(rule_set: RuleSet, demand: str) -> str:
    """The clause that makes a demand; common practice where the set names none."""
    try:
        return rule_set.table("demands").exact(demand=demand).cell("says").clause.text
    except NotInRules:
        return COMMON_PRACTICE


def stated_limit(rule_set: RuleSet, name: str) -> Cell | None:
    """A limit of the set, None where it states none."""
    try:
        return rule_set.limit(name)
    except NotInRules:
        return None
