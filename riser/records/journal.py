# SPDX-License-Identifier: Apache-2.0
"""Which journal of SQLite is safe for the records, by the version of the SQLite library in use.

SQLite 3.7.0 to 3.51.2 can, in write-ahead mode with two connections of which one checkpoints while the other
writes, skip a committed transaction: an acknowledged line would be lost. 3.51.3 cured it, and so did 3.50.7
and 3.44.6 for their lines (source: issue reports of four independent projects that use SQLite, and a summary
of the 3.51.3 release; not read on the library's own site). With an affected library the records use the
rollback journal, which is slower and does not have the fault.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

Version = tuple[int, int, int]

STRICT_TABLES_SINCE: Version = (3, 37, 0)
_FAULT_SINCE: Version = (3, 7, 0)
_CURED: tuple[Version, ...] = ((3, 44, 6), (3, 50, 7), (3, 51, 3))
FULL, EXTRA = 2, 3
"""Values of `PRAGMA synchronous`."""


@dataclass(frozen=True, slots=True)
class Journal:
    """A journal mode, the `PRAGMA synchronous` that makes it durable, and why it was chosen."""

    mode: str
    synchronous: int
    says: str


def library_version() -> Version:
    """The version of the SQLite library that Python is linked to."""
    major, minor, patch = sqlite3.sqlite_version_info
    return major, minor, patch


def loses_lines_in_wal(version: Version) -> bool:
    """Whether that SQLite can skip a committed transaction in write-ahead mode."""
    cured_here = any(version[:2] == cured[:2] and version >= cured for cured in _CURED)
    return _FAULT_SINCE <= version < max(_CURED) and not cured_here


def journal_for(version: Version) -> Journal:
    """The safe journal for that SQLite.

    Write-ahead with FULL syncs at every commit. The rollback journal needs EXTRA, which also syncs the folder
    after the journal is deleted: without it a power cut may bring a committed transaction's journal back.
    """
    name = ".".join(map(str, version))
    if loses_lines_in_wal(version):
        return Journal(
            "delete",
            EXTRA,
            f"SQLite {name} can lose a committed line in write-ahead mode (cured in 3.51.3, 3.50.7 and "
            "3.44.6); the rollback journal is used instead, which is not affected",
        )
    return Journal("wal", FULL, f"SQLite {name} does not have the write-ahead fault; write-ahead is used")
