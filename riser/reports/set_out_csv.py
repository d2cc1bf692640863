# SPDX-License-Identifier: Apache-2.0
"""The setting-out list as a table for a spreadsheet or an instrument: one row a stub, units on top."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable

from riser.reports.plain_text import cell_text
from riser.reports.set_out import SetOut
from riser.reports.set_out_line import SetOutLine

_AXES = ("x", "y", "level")
HEADINGS = (
    "building", "stub", "joint", "above", "system", "size", "facing", "shaft",
    *(f"{axis} [m]" for axis in _AXES),
    *(f"drawn {axis} [m]" for axis in _AXES),
    *(f"needed {axis} [m]" for axis in _AXES),
    *(f"drawn less needed {axis} [mm]" for axis in _AXES),
    "drawing", "checks [m]",
    *(f"measured {axis} [m]" for axis in _AXES),
    *(f"measured less set out {axis} [mm]" for axis in _AXES),
    "uncertainty [mm]", "verdict",
)  # fmt: skip


def set_out_csv(lists: Iterable[SetOut]) -> str:
    """The lists as CSV (RFC 4180). No cell can be taken for a formula; no figure is an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for found in lists:
        writer.writerows(_row(found.building, line) for line in found.lines)
    return out.getvalue()


def _row(building: str, line: SetOutLine) -> list[str]:
    words = (
        building, line.stub, line.joint, line.above, line.system_word, line.size, line.facing, line.shaft
    )  # fmt: skip
    checks = "; ".join(f"{check.to} {check.distance_m:.3f}" for check in line.checks)
    return [
        *(cell_text(word) for word in words),
        *_metres(line.target_m),
        *_metres(line.drawn_m),
        *_metres(line.needed_m),
        *_millimetres(line.drawn_off_m),
        cell_text(line.drawing_words),
        cell_text(checks),
        *_metres(line.measured_m),
        *_millimetres(line.measured_off_m),
        *_millimetres((line.uncertainty_m,)),
        str(line.verdict),
    ]


def _metres(values: Iterable[float]) -> list[str]:
    return ["" if math.isnan(v) else f"{v + 0.0:.4f}" for v in values]


def _millimetres(values: Iterable[float]) -> list[str]:
    return ["" if math.isnan(v) else f"{round(v * 1e3, 1) + 0.0:.1f}" for v in values]
