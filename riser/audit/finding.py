# SPDX-License-Identifier: Apache-2.0
"""Faults in a building or its records, as values.

A `FindingKind` is declared once, beside the check that makes it; `docs/findings.md` is generated from all
kinds. A `Finding` is one occurrence. Families: J joints, D drains and vents, S supply, F fire water,
P proving, R records, M model.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from enum import StrEnum

COMMON_PRACTICE = "common practice, no source"


class Severity(StrEnum):
    """How much a finding weighs; only errors make a check exit with 1."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class FindingKind:
    """A kind of fault.

    `code` is a family letter and two digits; `name` the fault in trade words; `severity` the default, which a
    rule set may change where standards disagree; `basis` the clause, or "common practice, no source";
    `meaning` and `remedy` are what docs/findings.md prints.
    """

    code: str
    name: str
    severity: Severity
    basis: str
    meaning: str
    remedy: str


CANNOT_JUDGE = FindingKind(
    "M03",
    "cannot be judged",
    Severity.NOTE,
    COMMON_PRACTICE,
    "What was needed to judge something is not given; it is neither passed nor failed.",
    "Give the missing file, row or rule set.",
)


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault: what, where, with which figures, what to do, on what basis.

    `items` are the ids concerned. `because` is the key of the finding whose remedy would make this one
    disappear; findings without it are roots. `rests_on` maps item ids to item hashes: an acceptance holds
    only while they stay the same.
    """

    code: str
    name: str
    severity: Severity
    items: tuple[str, ...]
    floor: str
    building: str
    system: str
    where: str
    says: str
    remedy: str
    basis: str
    because: str | None = None
    rests_on: tuple[tuple[str, str], ...] = ()

    @property
    def key(self) -> str:
        """Code and sorted item ids: the same fault has the same key in every run."""
        return ":".join((self.code, *sorted(self.items)))

    def caused_by(self, key: str | None) -> Finding:
        """The same finding, folded under the finding with that key."""
        return replace(self, because=key)

    def as_json(self) -> dict[str, object]:
        """One JSON object; keys are the field names, plus `key`."""
        data = asdict(self)
        data["severity"] = str(self.severity)
        data["items"] = list(self.items)
        data["rests_on"] = dict(self.rests_on)
        return {"key": self.key, **data}


def roots(findings: Iterable[Finding]) -> list[Finding]:
    """The findings that are nobody's consequence."""
    return [f for f in findings if f.because is None]
