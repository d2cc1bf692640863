# SPDX-License-Identifier: Apache-2.0
"""Planted faults that only the records show: each is put right by a line that nobody has recorded yet."""

from __future__ import annotations

from .edits import Edit, Files
from .planting import Change, Plan
from .records_story import FLOOR_7, REMEDIES, state_file


def _unsaid(code: str) -> Change:
    """The lines that would put it right are missing at the end of the state."""

    def change(_files: Files) -> list[Edit]:
        file = state_file(FLOOR_7)
        return [Edit(file, "append", line=said.line()) for said in REMEDIES[code]]

    return change


def _site_fault(key: str, where: str, story: str) -> Plan:
    changes = (_unsaid(key.partition(":")[0]),)
    return Plan(key, where, story, changes, check="site", records=FLOOR_7)


SITE_FAULTS: list[Plan] = [
    _site_fault(
        "J17:A07-07/RW2",
        "tower A, floor 07: top of rainwater riser RW-2",
        "The crew ran out of caps at the end of the shift; rain is forecast.",
    ),
    _site_fault(
        "F01:A05-07/FR2",
        "tower A, floor 05: fire riser FR-2",
        "Two floors were set in one afternoon and the fire riser of shaft S2 was left for the morning.",
    ),
    _site_fault(
        "M01:A07-11",
        "tower A, floor 07: east kitchen at shaft S2",
        "The module had been set that morning when revision 2 changed its drawing.",
    ),
    _site_fault(
        "R01:A04-02-SO.1",
        "tower A, floor 04: soil branch of the east bathroom at shaft S1",
        "The wall was closed before anybody had released the joint behind it.",
    ),
]
