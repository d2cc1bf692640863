# SPDX-License-Identifier: Apache-2.0
"""The tables of a job with one type of part, many parts and nothing but straight pipes."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from riser.network.tables import JobTables
from riser.project.schema import TABLES


def _empty(name: str) -> pd.DataFrame:
    """A table without rows and with all its columns."""
    table = TABLES[name]
    names = [inner for column in table.columns for inner in column.inner_columns]
    extra = ["type", "revision"] if table.per_type else []
    return pd.DataFrame({n: pd.Series(dtype=object) for n in dict.fromkeys([*extra, *names, "row"])})


def _filled(name: str, count: int, **columns: Any) -> pd.DataFrame:
    """A table of `count` rows; columns not given are empty text."""
    frame = _empty(name)
    data = {column: columns.get(column, "") for column in frame.columns if column != "row"}
    return pd.DataFrame({**data, "row": np.arange(2, count + 2)}, index=range(count))


def stub_job(local_m: np.ndarray, origin_m: np.ndarray) -> JobTables:
    """One type with stubs at these places (the lower half facing down), one part at each origin."""
    pipes, parts = len(local_m) // 2, len(origin_m)
    names = [f"L{n}" for n in range(pipes)] + [f"U{n}" for n in range(pipes)]
    frames: dict[str, Any] = {name: _empty(name) for name in TABLES}
    frames["floors"] = _filled(
        "floors",
        1,
        building="A",
        floor="01",
        order=1.0,
        level_m=0.0,
        slab_top_m=0.0,
        slab_thickness_m=0.0,
        ceiling_m=0.0,
    )
    frames["pipes"] = _filled("pipes", 1, pipe="P", od_m=0.05, bore_m=0.045, material="steel", nominal="DN50")
    frames["types"] = _filled("types", 1, type="T", revision="A", kind="module")
    frames["nodes"] = _filled(
        "nodes",
        2 * pipes,
        type="T",
        revision="A",
        node=names,
        kind="stub",
        x_m=local_m[:, 0],
        y_m=local_m[:, 1],
        z_m=local_m[:, 2],
        facing=["down"] * pipes + ["up"] * pipes,
        pipe="P",
        system="cold",
    )
    frames["runs"] = _filled(
        "runs", pipes, type="T", revision="A", run=[f"R{n}" for n in range(pipes)], system="cold",
        **{"from": names[:pipes], "to": names[pipes:]}, pipe="P", insulation_m=0.0, hidden=False,
    )  # fmt: skip
    frames["parts"] = _filled(
        "parts", parts, part=[f"M{n}" for n in range(parts)], type="T", type_revision="A", building="A",
        floor="01",
        x_m=origin_m[:, 0], y_m=origin_m[:, 1], z_m=origin_m[:, 2], yaw_rad=0.0, mirror="none",
        hoist_order=np.arange(parts, dtype=float),
    )  # fmt: skip
    return JobTables(**frames, absent=frozenset({"joints.csv"}))
