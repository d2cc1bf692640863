# SPDX-License-Identifier: Apache-2.0
"""Where a code of practice says something, and how sure we are that it does."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import StrEnum


class Status(StrEnum):
    """How a figure came into a rule set.

    READ: that cell was read in this edition. MEMORY: not read there; the source says where to look. CONFLICT:
    published readings differ. LOCAL: set by a local amendment.
    """

    READ = "read"
    MEMORY = "memory"
    CONFLICT = "conflict"
    LOCAL = "local"

    @property
    def mark(self) -> str:
        """The mark beside a figure on a sheet: nothing where read, one character where not."""
        return {"read": "", "memory": "?", "conflict": "!", "local": "*"}[self.value]


@dataclass(frozen=True, slots=True)
class Clause:
    """A place in a published document, with the source it was taken from and its certainty."""

    document: str
    edition: str
    clause: str
    source: str
    status: Status

    @property
    def text(self) -> str:
        """The clause as a person cites it, for example `IPC 2021, Table 704.1`."""
        name = " ".join(part for part in (self.document, self.edition) if part)
        return f"{name}, {self.clause}" if self.clause else name

    def as_json(self) -> dict[str, str]:
        """One JSON object with the field names as keys."""
        return {key: str(value) for key, value in asdict(self).items()}

    @classmethod
    def from_json(cls, data: dict[str, str]) -> Clause:
        """The clause that `as_json` wrote."""
        return cls(**{**data, "status": Status(data["status"])})  # type: ignore[arg-type]
