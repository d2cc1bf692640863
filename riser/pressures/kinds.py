# SPDX-License-Identifier: Apache-2.0
"""The kinds of finding that pressures make."""

from __future__ import annotations

from riser.audit.finding import CANNOT_JUDGE, COMMON_PRACTICE, FindingKind, Severity

OUTLET_WEAK = FindingKind(
    "S11",
    "outlet too weak",
    Severity.ERROR,
    COMMON_PRACTICE,
    "At design load less pressure is left at an outlet than it needs.",
    "Give the zone more pressure, or draw the pipes on the way larger.",
)
OUTLET_STRONG = FindingKind(
    "S12",
    "outlet too strong",
    Severity.ERROR,
    COMMON_PRACTICE,
    "The still pressure at an outlet is above what the rules allow there.",
    "Put a reducing valve before these outlets, or divide the building into lower zones.",
)
PUMP_SMALL = FindingKind(
    "S13",
    "pump too small",
    Severity.ERROR,
    COMMON_PRACTICE,
    "At the design flow a pump gives less than the highest outlet needs even without losses behind it, or "
    "the flow lies beyond the end of its curve.",
    "Choose a pump that gives the pressure named at the flow named.",
)
REDUCING_SET_WRONG = FindingKind(
    "S14",
    "reducing valve set wrong",
    Severity.ERROR,
    COMMON_PRACTICE,
    "Outlets behind a reducing valve are too weak though there is pressure to spare before it, or too strong "
    "by its setting.",
    "Set it as named, and check both ends of its zone again.",
)
BACKWARDS = FindingKind(
    "S15",
    "device stands backwards",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A reducing valve, check valve, backflow preventer or pump has its supply at its outlet and nothing at "
    "its inlet.",
    "Turn it round.",
)
PIPE_FAST = FindingKind(
    "S16",
    "pipe too fast",
    Severity.WARNING,
    COMMON_PRACTICE,
    "At design load the water in a pipe is faster than the rules or good practice allow.",
    "Draw the pipe larger.",
)
RETURN_OPEN = FindingKind(
    "S17",
    "check valve missing in the return",
    Severity.ERROR,
    COMMON_PRACTICE,
    "Nothing keeps water from running backwards through a hot return: a pump does not when it stands.",
    "Put a check valve between the return and the heater.",
)
NO_PRESSURE = FindingKind(
    "S18",
    "outlet without pressure",
    Severity.ERROR,
    COMMON_PRACTICE,
    "An outlet has a way to a source, but no supply with a stated pressure gives it any: a valve on the way "
    "is shut or stands backwards, or supplies.csv does not name the source.",
    "Open or turn the device, or state the pressure of the source.",
)
OVER_RATING = FindingKind(
    "S19",
    "pressure above a rating",
    Severity.ERROR,
    COMMON_PRACTICE,
    "The still pressure in a pipe or device is above the highest it may have.",
    "Choose a component rated for it, or lower the pressure of the zone.",
)
FIRE_WEAK = FindingKind(
    "F11",
    "fire outlet too weak",
    Severity.ERROR,
    COMMON_PRACTICE,
    "With the fire demand of the rules flowing, less pressure is left at an open hose valve than it needs.",
    "Give the fire riser more pressure at its inlet, or draw it larger.",
)
FIRE_STRONG = FindingKind(
    "F12",
    "fire outlet over its limit",
    Severity.ERROR,
    COMMON_PRACTICE,
    "The still pressure at a hose valve is above what the rules allow without a pressure regulating device.",
    "Put a pressure regulating device at the outlet, or divide the riser into zones.",
)
FIRE_NO_PRESSURE = FindingKind(
    "F13",
    "fire outlet without pressure",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A hose valve or sprinkler branch has a way to a source, but no supply of a stated pressure reaches it.",
    "Open or turn the device on the way, or state the pressure of the source.",
)
KINDS: tuple[FindingKind, ...] = (
    OUTLET_WEAK,
    OUTLET_STRONG,
    PUMP_SMALL,
    REDUCING_SET_WRONG,
    BACKWARDS,
    PIPE_FAST,
    RETURN_OPEN,
    NO_PRESSURE,
    OVER_RATING,
    FIRE_WEAK,
    FIRE_STRONG,
    FIRE_NO_PRESSURE,
    CANNOT_JUDGE,
)
