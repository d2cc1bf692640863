# SPDX-License-Identifier: Apache-2.0
"""Findings that only the records can show, and the list of every kind of finding."""

from __future__ import annotations

from riser.audit.finding import CANNOT_JUDGE, COMMON_PRACTICE, FindingKind, Severity

DRAWN_DIFFERS = FindingKind(
    "M01",
    "drawn differs from built",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A part is recorded as placed to one revision of its type, and parts.csv now draws another.",
    "Record the alteration once it is made, or put the built revision back into parts.csv.",
)
COVERED_UNRELEASED = FindingKind(
    "R01",
    "covered without a release",
    Severity.ERROR,
    COMMON_PRACTICE,
    "A connection is recorded as covered and no release was given after it was last made or opened up.",
    "Open it up again, prove it otherwise, or have the engineer accept it with a reason.",
)
UNKNOWN_ITEM = FindingKind(
    "R02",
    "recorded item is not drawn",
    Severity.WARNING,
    COMMON_PRACTICE,
    "The records speak of a part, stub or connection that the job's files do not have (any more).",
    "Correct the record line, or put the item back into the files.",
)
MEASURED_TWICE = FindingKind(
    "R03",
    "measurements disagree",
    Severity.WARNING,
    COMMON_PRACTICE,
    "Two measurements of one stub differ by more than their uncertainties together.",
    "Measure again and correct the line that was wrong.",
)

KINDS: tuple[FindingKind, ...] = (
    DRAWN_DIFFERS,
    CANNOT_JUDGE,
    COVERED_UNRELEASED,
    UNKNOWN_ITEM,
    MEASURED_TWICE,
)


FAMILIES = {
    "J": "joints",
    "D": "drains and vents",
    "S": "supply",
    "F": "fire water",
    "P": "proving",
    "R": "records",
    "M": "model",
}


def all_kinds() -> tuple[FindingKind, ...]:
    """Every kind of finding the program can make, by code; `docs/findings.md` is written from it."""
    from riser import joints, layout, sizing
    from riser.pressures.kinds import KINDS as PRESSURE_KINDS

    kinds = (*joints.KINDS, *layout.KINDS, *sizing.KINDS, *PRESSURE_KINDS, *KINDS)
    return tuple(sorted({kind.code: kind for kind in kinds}.values(), key=lambda kind: kind.code))
