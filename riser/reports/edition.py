# SPDX-License-Identifier: Apache-2.0
"""What a printed sheet stands for: revision, day, latest mark; and the number that names the sheet."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Edition:
    """What a sheet was printed from: revision of the files, day (2026-03-02), latest mark of the records."""

    revision: str
    day: str
    latest_mark: str = ""

    @property
    def words(self) -> str:
        """One line for the head of a sheet."""
        mark = f"records up to mark {self.latest_mark}" if self.latest_mark else "no records"
        return f"Revision {self.revision}, printed for {self.day}, {mark}"


def sheet_id(kind: str, content: object, edition: Edition) -> str:
    """The number of a sheet: its kind and ten hex digits that stand for all that is on it."""
    text = json.dumps([content, edition.revision, edition.day, edition.latest_mark], sort_keys=True)
    return f"{kind}-{hashlib.sha256(text.encode()).hexdigest()[:10]}"
