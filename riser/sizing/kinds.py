# SPDX-License-Identifier: Apache-2.0
"""The kinds of finding that sizing makes: pipes too small, stacks without the vents they need.

What cannot be judged is M03, which all checks share.
"""

from __future__ import annotations

from riser.audit.finding import COMMON_PRACTICE, FindingKind, Severity

DRAIN_TOO_SMALL = FindingKind(
    "D12",
    "drain too small",
    Severity.ERROR,
    COMMON_PRACTICE,
    "The drawn size of a soil or waste pipe is less than its load, fixtures or what drains into it ask for.",
    "Draw the least size named, or lead part of the load elsewhere.",
)
VENT_TOO_SMALL = FindingKind(
    "D13",
    "vent too small",
    Severity.ERROR,
    COMMON_PRACTICE,
    "The drawn size of a vent is less than its load, its length or the drain it serves asks for.",
    "Draw the least size named, or lead the vent a shorter way.",
)
STACK_NEEDS_VENT = FindingKind(
    "D14",
    "stack needs a vent stack or a relief vent",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A stack has so many branch intervals, or an offset so far below its top, that its own vent does not do.",
    "Draw the vent named: a vent stack from the foot of the stack, or a relief vent at the interval named.",
)
KINDS: tuple[FindingKind, ...] = (DRAIN_TOO_SMALL, VENT_TOO_SMALL, STACK_NEEDS_VENT)
