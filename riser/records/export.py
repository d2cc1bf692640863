# SPDX-License-Identifier: Apache-2.0
"""The records as a file that outlives riser: JSON lines, which `verify_export.py` checks without riser.

Each row is `{"hash":"...","line":{...}}` with the line's bytes exactly as they are stored, so that whoever
reads it can hash them; the marks given follow as rows `{"mark":{...}}`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from riser.records.line import canonical_bytes
from riser.records.marks import Mark
from riser.records.store import Store


def export_rows(store: Store, marks: Collection[Mark] = ()) -> Iterator[bytes]:
    """The rows of the export, each with its line end."""
    for row in store.rows():
        yield b'{"hash":"%s","line":%s}\n' % (row.hash.encode(), row.body)
    for mark in marks:
        yield canonical_bytes({"mark": mark.as_json()}) + b"\n"


def export_bytes(store: Store, marks: Collection[Mark] = ()) -> bytes:
    """The whole export."""
    return b"".join(export_rows(store, marks))
