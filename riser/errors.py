# SPDX-License-Identifier: Apache-2.0
"""What can go wrong, as one tree.

    RiserError
    ├── InputErrors        files that cannot be understood; all of them at once; exit code 2
    ├── RuleSetError       a rule set (or a local amendment of one) that may not be used; exit code 2
    ├── OutsideValidity    a formula or table asked beyond the range its source gives
    ├── NotInRules         a rule set has no row for what was asked: "cannot be judged", never a zero
    ├── RecordError        the records could not be written or are not whole
    └── Refused            a rule says no; exit code 3

Faults in a building are not errors: they are findings (`riser.audit.Finding`).
"""

from __future__ import annotations

from dataclasses import asdict, dataclass


@dataclass(frozen=True, slots=True)
class InputError:
    """One fault in one file: where it is, what stands there, what should stand there, what to do."""

    file: str
    row: int | None
    column: str | None
    found: str
    expected: str
    remedy: str

    def sentence(self) -> str:
        """The error as one line for a terminal."""
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column:
            place += f", column {self.column}"
        return f"{place}: found {self.found}; expected {self.expected}. {self.remedy}"

    def as_json(self) -> dict[str, object]:
        """The error as one JSON object."""
        return asdict(self)


class RiserError(Exception):
    """Base of everything riser raises on purpose."""


class InputErrors(RiserError):
    """All faults found in all files of a job."""

    def __init__(self, errors: list[InputError]) -> None:
        self.errors = errors
        super().__init__("\n".join(e.sentence() for e in errors))


class RuleSetError(RiserError):
    """A rule set that may not be used: names file, table, row and remedy."""

    def __init__(self, file: str, table: str, row: str, what: str, remedy: str) -> None:
        self.file, self.table, self.row, self.what, self.remedy = file, table, row, what, remedy
        place = ": ".join(part for part in (file, table, row) if part)
        super().__init__(f"{place}: {what}. {remedy}")


class OutsideValidity(RiserError):
    """A value outside the range for which a formula or table is stated."""


class NotInRules(RiserError):
    """A rule set has no row for this; the sentence says which set and what was asked."""


class RecordError(RiserError):
    """The records could not be written, read or trusted."""


class Refused(RiserError):
    """A rule says no; the reasons say which."""

    def __init__(self, reasons: list[str]) -> None:
        self.reasons = reasons
        super().__init__("; ".join(reasons))
