# SPDX-License-Identifier: Apache-2.0
"""Figures with their derivation, and findings: what everything else in riser is told in."""

from riser.audit.arithmetic import largest, multiple, rounded_up, smallest, total
from riser.audit.clause import Clause, Status
from riser.audit.derivation import (
    Assumed,
    DecidedBy,
    Derived,
    Given,
    InFile,
    InRules,
    Node,
    Origin,
    Rejected,
    decided_by,
    node_from_json,
    nodes,
    origins,
)
from riser.audit.finding import COMMON_PRACTICE, Finding, FindingKind, Severity, roots
from riser.audit.formula import Formula, formula, formulas, replay_differences
from riser.audit.sheet_text import sheet_text

__all__ = [
    "COMMON_PRACTICE",
    "Assumed",
    "Clause",
    "DecidedBy",
    "Derived",
    "Finding",
    "FindingKind",
    "Formula",
    "Given",
    "InFile",
    "InRules",
    "Node",
    "Origin",
    "Rejected",
    "Severity",
    "Status",
    "decided_by",
    "formula",
    "formulas",
    "largest",
    "multiple",
    "node_from_json",
    "nodes",
    "origins",
    "replay_differences",
    "roots",
    "rounded_up",
    "sheet_text",
    "smallest",
    "total",
]
