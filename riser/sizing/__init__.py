# SPDX-License-Identifier: Apache-2.0
"""Sizes of pipes: what a code asks for, what is drawn, and every step between.

Words: the *load* of a pipe is what drains through it in the measure of the rule set; the *least* size is the
smallest nominal size the rules allow, the *drawn* size the one in the model; the *margin* is what the drawn
size could still take. A *procedure* is a way to size; each rule set names its own.
"""

from riser.sizing.drainage import explain, findings, sizes
from riser.sizing.fixture_units.drain_tables import branch_size, building_drain_size, stack_size
from riser.sizing.fixture_units.vent_tables import branch_vent_size, stack_vent_size
from riser.sizing.kinds import KINDS
from riser.sizing.loads import continuous_load
from riser.sizing.pipe_kinds import PipeKind
from riser.sizing.size_table import SizeTable, Verdict

__all__ = [
    "KINDS",
    "PipeKind",
    "SizeTable",
    "Verdict",
    "branch_size",
    "branch_vent_size",
    "building_drain_size",
    "continuous_load",
    "explain",
    "findings",
    "sizes",
    "stack_size",
    "stack_vent_size",
]
