# SPDX-License-Identifier: Apache-2.0
"""The table of sizes: what each pipe needs, what is drawn, and how much is left."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum
from typing import Any

import pandas as pd

from riser.network.types import Flags, Floats, Ints, Texts
from riser.sizing.pipe_kinds import PipeKind


class Verdict(IntEnum):
    """What a comparison of drawn and least size gives."""

    LARGE_ENOUGH = 0
    TOO_SMALL = 1
    CANNOT_BE_JUDGED = 2
    NOTHING_TO_SIZE = 3

    @property
    def words(self) -> str:
        """The verdict as it stands on sheets."""
        return self.name.lower().replace("_", " ")


@dataclass(frozen=True)
class SizeTable:
    """One row per run and joint of soil, waste and vent pipework.

    `load` is in the rule set's own measure (`load_unit`); for vents that of the drains they serve. `least_m`
    and `drawn_m` are nominal sizes, NaN where not known. `margin` is what the drawn size could still take, in
    `margin_unit`: load, or metres of developed length. `read`, `unverified`, `conflict` and `local` count
    the rule rows that decided the least size. `bore_m`, `filling`, `velocity_ms` and `flow_m3s` are physics
    beside the code: what the drawn bore carries at that filling.
    """

    id: Texts
    is_joint: Flags
    system: Texts
    kind: Ints
    building: Texts
    floor: Texts
    load: Floats
    load_unit: Texts
    unjudged_fixtures: Ints
    length_m: Floats
    fall_m_per_m: Floats
    least_m: Floats
    drawn_m: Floats
    least_text: Texts
    drawn_text: Texts
    capacity: Floats
    margin: Floats
    margin_unit: Texts
    clause: Texts
    decided_by: Texts
    verdict: Ints
    why: Texts
    read: Ints
    unverified: Ints
    conflict: Ints
    local: Ints
    bore_m: Floats
    filling: Floats
    velocity_ms: Floats
    flow_m3s: Floats

    def __len__(self) -> int:
        return len(self.id)

    @property
    def number(self) -> dict[str, int]:
        """The row of each id."""
        return {name: n for n, name in enumerate(self.id.tolist())}

    def frame(self) -> pd.DataFrame:
        """The table for a notebook, kinds and verdicts in words."""
        table = pd.DataFrame({field.name: getattr(self, field.name) for field in fields(self)})
        table["kind"] = [PipeKind(k).words for k in self.kind.tolist()]
        table["verdict"] = [Verdict(v).words for v in self.verdict.tolist()]
        return table

    def row(self, item: str) -> dict[str, Any]:
        """One row by id; KeyError where there is none."""
        n = self.number[item]
        return {field.name: getattr(self, field.name)[n] for field in fields(self)}
