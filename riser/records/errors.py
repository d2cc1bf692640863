# SPDX-License-Identifier: Apache-2.0
"""What can go wrong with the records; every sentence says what, where and what to do.

RecordError
├── WrongEntry       an entry that may not become a line: says which field and what is allowed
├── EntryKeyUsed     the same entry key was sent before with other content
├── RecordsBusy      another program is writing; wait or enter it there
├── RecordsFull      no room left; nothing of this entry was written
├── RecordsStopped   the disk failed while writing; nothing more is written until opened anew
├── NoRecords        there are no records where they were looked for
├── UnknownRecords   a file or database that is not ours, or was written by a newer riser
├── MarkUnreadable   a mark that cannot be read, or was copied wrongly
└── NotWhole         lines were altered, removed or exchanged; lists them
"""

from __future__ import annotations

from riser.errors import RecordError


class WrongEntry(RecordError):
    """An entry that may not become a line."""


class EntryKeyUsed(RecordError):
    """The same entry key came before with other content."""


class RecordsBusy(RecordError):
    """Another program is writing to these records."""


class RecordsFull(RecordError):
    """No room left on the disk; nothing of this entry was written."""


class RecordsStopped(RecordError):
    """The disk or the connection failed while writing; what was acknowledged before stands."""


class NoRecords(RecordError):
    """There are no records where they were looked for."""


class UnknownRecords(RecordError):
    """A file or database that is not riser's, or was written by a newer riser."""


class MarkUnreadable(RecordError):
    """A mark that cannot be read, or was copied wrongly."""


class NotWhole(RecordError):
    """The records are not whole; `faults` says which lines."""

    def __init__(self, what: str, faults: tuple[tuple[int, str], ...]) -> None:
        self.faults = faults
        listed = "; ".join(f"line {n}: {text}" if n else text for n, text in faults[:5])
        more = f"; and {len(faults) - 5} more" if len(faults) > 5 else ""
        super().__init__(f"{what}: {listed}{more}")
