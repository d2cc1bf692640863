# SPDX-License-Identifier: Apache-2.0
"""The rows of a table of tests: which are for a system, for a working pressure, and what they ask."""

from __future__ import annotations

import numpy as np

from riser.network.systems import System
from riser.rules import Row, Rules

GASES = frozenset({"air", "smoke", "nitrogen", "oil of peppermint"})
NOT_OF_RISERS = ("sewer_", "pumped_")


def rows_of_system(rules: Rules, system: System) -> list[Row]:
    """The test rows for a system, first stages and later ones; of `fire` for fire, else of `tests`."""
    for subject in ("fire", "tests") if system == System.FIRE else ("tests",):
        if not rules.has(subject) or not rules.subject(subject).has("tests"):
            continue
        mine = [
            row
            for row in rules.subject(subject).table("tests").rows
            if system.label in str(row.cell("systems").value).split(", ")
            and not str(row.cell("test").value).startswith(NOT_OF_RISERS)
        ]
        if mine:
            return mine
    return []


def asked_pa(row: Row, working_pa: float) -> float:
    """The pressure a rule asks for [Pa]: the largest of what it states; NaN where it cannot be told."""
    fixed = row.number("pressure") if row.has("pressure") else float("nan")
    factor = working_pa * row.number("factor") if row.has("factor") else float("nan")
    over = working_pa + row.number("over") if row.has("over") else float("nan")
    return float(np.fmax(np.fmax(fixed, factor), over))


def suits_working(row: Row, working_pa: float) -> bool:
    """Whether a rule is for this working pressure; one that is not known rules nothing out."""
    low = row.number("working_from") if row.has("working_from") else -np.inf
    high = row.number("working_to") if row.has("working_to") else np.inf
    return not (working_pa <= low or working_pa > high)
