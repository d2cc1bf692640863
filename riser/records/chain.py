# SPDX-License-Identifier: Apache-2.0
"""Walking the chain of lines: each must hash to what is stored and follow the one before it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from riser.records.kinds import KINDS, contents_named
from riser.records.line import NO_LINE, Line, StoredLine, hash_of, line_from_bytes
from riser.records.times import instant, is_server_time


class Fault(NamedTuple):
    """Something that is not as it was written; sequence 0 means the store as a whole."""

    sequence: int
    what: str


@dataclass(slots=True)
class Walk:
    """What one pass over the stored lines finds.

    `contents` maps the hash of each content that lines refer to, to the first line that does.
    """

    lines: int = 0
    latest_sequence: int = 0
    latest_hash: str = NO_LINE
    latest_time: str = ""
    faults: list[Fault] = field(default_factory=list)
    notes: list[Fault] = field(default_factory=list)
    key_lines: list[Line] = field(default_factory=list)
    mark_lines: list[Line] = field(default_factory=list)
    contents: dict[str, int] = field(default_factory=dict)


def walk_chain(rows: Iterable[StoredLine]) -> Walk:
    """Every line that was altered, removed, moved or put in, as far as the lines themselves show it."""
    walk = Walk()
    for row in rows:
        walk.lines += 1
        _check_place(row, walk)
        line = _check_body(row, walk)
        if line is not None:
            _check_fields(row, line, walk)
            _check_time(line, walk)
            _collect(line, walk)
        walk.latest_sequence, walk.latest_hash = row.sequence, row.hash
    return walk


def _check_place(row: StoredLine, walk: Walk) -> None:
    missing = row.sequence - walk.latest_sequence - 1
    if missing > 0:
        first, last = walk.latest_sequence + 1, row.sequence - 1
        which = f"line {first} is" if missing == 1 else f"lines {first} to {last} are"
        walk.faults.append(Fault(first, f"{which} missing"))
    elif missing < 0:
        walk.faults.append(Fault(row.sequence, "stands where no line can stand"))


def _check_body(row: StoredLine, walk: Walk) -> Line | None:
    digest = hash_of(row.body)
    if digest != row.hash:
        walk.faults.append(Fault(row.sequence, "was altered: its bytes do not give its hash"))
    try:
        return line_from_bytes(row.body, digest)
    except ValueError as error:
        walk.faults.append(Fault(row.sequence, f"cannot be read ({error})"))
        return None


def _check_fields(row: StoredLine, line: Line, walk: Walk) -> None:
    if line.sequence != row.sequence:
        walk.faults.append(Fault(row.sequence, f"was moved here: it was written as line {line.sequence}"))
    if line.previous != walk.latest_hash:
        what = "does not follow the line before it: that one was altered, removed, put in or exchanged"
        walk.faults.append(Fault(row.sequence, what))
    for name in ("entry_key", "about", "replaces"):
        if getattr(line, name) != getattr(row, name):
            walk.faults.append(Fault(row.sequence, f"is filed under another {name} than it says"))


def _check_time(line: Line, walk: Walk) -> None:
    if not isinstance(line.time, str) or not is_server_time(line.time):
        walk.faults.append(Fault(line.sequence, f"has no server time but {line.time!r}"))
        return
    if line.time < walk.latest_time and instant(line.time) < instant(walk.latest_time):
        what = f"the clock went back, from {walk.latest_time} to {line.time}; the order is that of the lines"
        walk.notes.append(Fault(line.sequence, what))
    walk.latest_time = line.time


def _collect(line: Line, walk: Walk) -> None:
    if line.kind == "key":
        walk.key_lines.append(line)
    elif line.kind == "mark":
        walk.mark_lines.append(line)
    elif line.kind not in KINDS:
        walk.notes.append(Fault(line.sequence, f"is of a kind this riser does not know: {line.kind!r}"))
    if not isinstance(line.data, dict):
        walk.faults.append(Fault(line.sequence, "has no data"))
        return
    for content in contents_named(line.kind, line.data):
        walk.contents.setdefault(content, line.sequence)
