# SPDX-License-Identifier: Apache-2.0
"""The job as tables in SI units: what the network is built from.

Every attribute is one file of the job folder (docs/job_folder.md). Columns keep the names of the file; a
column with a unit gets its SI suffix: `x_m`, `od_m`, `rating_pa`, `angle_max_rad`, `yaw_rad`, `wait_s`,
`flow_m3s`, `area_m2`, `max_temperature_c`, `kv_m3h` (Kv is defined in m3/h at 1 bar). Every table has a
column `row`: the row number in its file, header = 1, for messages and derivations; `nodes` and `runs` have
`type` and `revision` in front. Text columns hold "" where the cell is empty, numbers NaN. A file that does
not exist is an empty table with all its columns; `absent` names it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd


@dataclass(frozen=True)
class JobTables:
    """All tables of one job, and its settings (project.toml with quantities converted to SI)."""

    floors: pd.DataFrame
    shafts: pd.DataFrame
    risers: pd.DataFrame
    systems: pd.DataFrame
    pipes: pd.DataFrame
    couplings: pd.DataFrame
    types: pd.DataFrame
    nodes: pd.DataFrame
    runs: pd.DataFrame
    parts: pd.DataFrame
    joints: pd.DataFrame
    closures: pd.DataFrame
    fixtures: pd.DataFrame
    supplies: pd.DataFrame
    curves: pd.DataFrame
    devices: pd.DataFrame
    catchments: pd.DataFrame
    sleeves: pd.DataFrame
    access: pd.DataFrame
    survey: pd.DataFrame
    gauges: pd.DataFrame
    settings: Mapping[str, Any] = field(default_factory=dict)
    gates: tuple[Mapping[str, Any], ...] = ()
    amendments: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    absent: frozenset[str] = frozenset()


def row_text(row: pd.Series) -> str:
    """What a row says, as one line of text; without where it stands, its source and its note."""
    return "|".join(f"{k}={v}" for k, v in row.items() if k not in ("row", "source", "note"))
