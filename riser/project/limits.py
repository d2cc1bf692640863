# SPDX-License-Identifier: Apache-2.0
"""How much riser reads before it says that something is wrong with a file."""

from __future__ import annotations

from dataclasses import dataclass

MEBIBYTE = 1 << 20


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds checked before anything is parsed, so that no file can fill the memory.

    The figures leave ten times the room of the largest building planned for (a million stubs). `sheet_cells`
    bounds rows times columns of one sheet, because one cell far away costs as much as a full sheet;
    `inflated` and `ratio` bound what a workbook unpacks to.
    """

    file_bytes: int = 128 * MEBIBYTE
    toml_bytes: int = 2 * MEBIBYTE
    job_bytes: int = 512 * MEBIBYTE
    line_bytes: int = 64 * 1024
    rows: int = 1_000_000
    files: int = 20_000
    inflated: int = 512 * MEBIBYTE
    ratio: int = 200
    members: int = 5_000
    sheet_cells: int = 12_000_000


LIMITS = Limits()
