# SPDX-License-Identifier: Apache-2.0
"""Whether the records are whole: every line, every content, the tables, and any mark that somebody holds.

Without a held mark, somebody who can write the store can write another, equally whole history. With one, that
is found. What is found and what is not stands in docs/evidence.md.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from riser.errors import RecordError
from riser.records.chain import Fault, Walk, walk_chain
from riser.records.errors import NotWhole
from riser.records.keys import KeyHistory, key_history
from riser.records.marks import Mark, mark_faults, mark_of_line
from riser.records.store import Store
from riser.records.structure import structure_faults


@dataclass(frozen=True, slots=True)
class Verification:
    """The answer of `verify`. `notes` are worth knowing (a clock that went back), and not faults."""

    lines: int
    latest_sequence: int
    latest_hash: str
    faults: tuple[Fault, ...]
    notes: tuple[Fault, ...]
    marks_held: int

    @property
    def is_whole(self) -> bool:
        """Whether nothing was found to be wrong."""
        return not self.faults

    def as_json(self) -> dict[str, object]:
        """One JSON object; faults and notes as objects with `line` and `what`."""
        return {
            "lines": self.lines,
            "latest_sequence": self.latest_sequence,
            "latest_hash": self.latest_hash,
            "is_whole": self.is_whole,
            "marks_held": self.marks_held,
            "faults": [{"line": fault.sequence, "what": fault.what} for fault in self.faults],
            "notes": [{"line": note.sequence, "what": note.what} for note in self.notes],
        }


def verify(
    store: Store, marks: Collection[Mark] = (), *, public_key: str | None = None, contents: bool = True
) -> Verification:
    """Check the whole store; `marks` are those that somebody holds, `public_key` the first key if it is
    known.

    `contents` False leaves out hashing the stored contents. Faults are listed in order, never raised.
    """
    walk = Walk()
    faults: list[Fault] = []
    notes: list[Fault] = []
    try:
        walk = walk_chain(store.rows())
        history = key_history(walk.key_lines)
        with store.reading() as connection:
            faults += [Fault(0, what) for what in structure_faults(connection)]
        faults += [*walk.faults, *history.faults, *_first_key_faults(history, public_key)]
        notes += [*walk.notes, *history.notes]
        faults += _all_mark_faults(store, walk, history, marks)
        faults += _content_faults(store, walk, read=contents)
    except RecordError as error:
        faults.append(Fault(0, str(error)))
    return Verification(
        walk.lines,
        walk.latest_sequence,
        walk.latest_hash,
        tuple(sorted(set(faults))),
        tuple(sorted(set(notes))),
        len(marks),
    )


def insist_whole(store: Store, doing: str, marks: Collection[Mark] = ()) -> Verification:
    """The verification of a store that must be whole; NotWhole lists the faults otherwise."""
    verification = verify(store, marks)
    if not verification.is_whole:
        raise NotWhole(f"{store.where}: {doing}", verification.faults)
    return verification


def _all_mark_faults(store: Store, walk: Walk, history: KeyHistory, held: Collection[Mark]) -> list[Fault]:
    faults = [fault for mark in held for fault in mark_faults(mark, store.hash_at, history)]
    for line in walk.mark_lines:
        try:
            mark = mark_of_line(line)
        except KeyError:
            faults.append(Fault(line.sequence, "a mark line without the fields of a mark"))
            continue
        faults += [
            Fault(line.sequence, f"holds a mark that does not fit: {fault.what}")
            for fault in mark_faults(mark, store.hash_at, history)
        ]
    return faults


def _first_key_faults(history: KeyHistory, public_key: str | None) -> list[Fault]:
    first = next(iter(history.keys), None)
    if public_key is None or first == public_key:
        return []
    line = history.keys[first][0] if first else 0
    return [Fault(line, "the first signing key is not the one that was given out")]


def _content_faults(store: Store, walk: Walk, *, read: bool) -> list[Fault]:
    faults = []
    stored = set(store.content_hashes())
    for content, line in walk.contents.items():
        if content not in stored:
            faults.append(Fault(line, f"its content {content} is missing"))
    for content in sorted(stored) if read else ():
        try:
            store.content(content)
        except RecordError:
            faults.append(Fault(walk.contents.get(content, 0), f"the content {content} was changed"))
    return faults
