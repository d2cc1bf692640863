# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from itertools import pairwise
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from riser.records import Entry
from riser.records.chain import walk_chain
from riser.records.line import NO_LINE, StoredLine, hash_of, line_bytes

DATA = st.dictionaries(
    st.text(max_size=5), st.text(max_size=8) | st.integers(0, 99) | st.booleans(), max_size=3
)
ENTRIES = st.lists(
    st.builds(
        Entry,
        kind=st.just("reading"),
        about=st.sampled_from(["T1", "T2", "T3"]),
        author=st.sampled_from(["A", "B"]),
        data=DATA,
    ),
    min_size=3,
    max_size=9,
)


def chain(entries: list[Entry], start: int = 1, previous: str = NO_LINE) -> list[StoredLine]:
    rows = []
    for sequence, entry in enumerate(entries, start=start):
        body = line_bytes(entry, sequence, f"2031-05-04T09:00:{sequence % 60:02}Z", previous)
        previous = hash_of(body)
        rows.append(StoredLine(sequence, entry.entry_key, entry.about, entry.replaces, body, previous))
    return rows


@settings(max_examples=30, deadline=None)
@given(ENTRIES)
def test_a_chain_as_it_was_written_has_no_fault(entries: list[Entry]) -> None:
    rows = chain(entries)
    walk = walk_chain(rows)
    assert (walk.faults, walk.notes) == ([], [])
    assert (walk.lines, walk.latest_sequence, walk.latest_hash) == (len(rows), len(rows), rows[-1].hash)


@settings(max_examples=60, deadline=None)
@given(ENTRIES, st.data())
def test_any_one_byte_of_a_line_altered_is_found_at_that_line(
    entries: list[Entry], data: st.DataObject
) -> None:
    rows = chain(entries)
    at = data.draw(st.integers(0, len(rows) - 1))
    body = bytearray(rows[at].body)
    body[data.draw(st.integers(0, len(body) - 1))] ^= data.draw(st.integers(1, 255))
    rows[at] = rows[at]._replace(body=bytes(body))
    assert at + 1 in {fault.sequence for fault in walk_chain(rows).faults}


@settings(max_examples=60, deadline=None)
@given(ENTRIES, st.data())
def test_a_line_altered_with_its_own_hash_recomputed_is_found_at_the_next(
    entries: list[Entry], data: st.DataObject
) -> None:
    rows = chain(entries)
    at = data.draw(st.integers(0, len(rows) - 2))
    other = chain([Entry("reading", "T9", "X", entry_key=rows[at].entry_key)], at + 1, _previous(rows, at))[0]
    rows[at] = other
    assert [fault.sequence for fault in walk_chain(rows).faults] == [at + 2]


@settings(max_examples=60, deadline=None)
@given(ENTRIES, st.data())
def test_a_line_removed_exchanged_or_put_twice_is_found(entries: list[Entry], data: st.DataObject) -> None:
    rows = chain(entries)
    at = data.draw(st.integers(0, len(rows) - 2))
    removed = rows[:at] + rows[at + 1 :]
    assert walk_chain(removed).faults[0].sequence == at + 1
    renumbered = [row._replace(sequence=n) for n, row in enumerate(removed, start=1)]
    assert walk_chain(renumbered).faults[0].sequence == at + 1
    exchanged = [
        *rows[:at],
        rows[at + 1]._replace(sequence=at + 1),
        rows[at]._replace(sequence=at + 2),
        *rows[at + 2 :],
    ]
    assert {at + 1, at + 2} <= {fault.sequence for fault in walk_chain(exchanged).faults}
    twice = [row._replace(sequence=n) for n, row in enumerate(rows[: at + 1] + rows[at:], start=1)]
    assert at + 2 in {fault.sequence for fault in walk_chain(twice).faults}


@settings(max_examples=30, deadline=None)
@given(ENTRIES, st.sampled_from(["entry_key", "about", "replaces"]), st.data())
def test_a_line_filed_under_something_else_is_found(
    entries: list[Entry], name: str, data: st.DataObject
) -> None:
    rows = chain(entries)
    at = data.draw(st.integers(0, len(rows) - 1))
    other: Any = 1 if name == "replaces" else "other"
    rows[at] = rows[at]._replace(**{name: other})
    assert [(f.sequence, f.what) for f in walk_chain(rows).faults] == [
        (at + 1, f"is filed under another {name} than it says")
    ]


def test_each_line_names_the_one_before_it() -> None:
    rows = chain([Entry("made", f"C{n}", "A") for n in range(4)])
    for before, after in pairwise(rows):
        assert before.hash.encode() in after.body


def test_a_clock_that_went_back_is_a_note_and_not_a_fault() -> None:
    times = ["2031-05-04T09:00:00Z", "2031-05-02T09:00:00Z", "2031-05-02T09:00:00.500Z"]
    rows: list[StoredLine] = []
    for n, time in enumerate(times, start=1):
        body = line_bytes(
            Entry("made", "C1", "A", entry_key=str(n)), n, time, rows[-1].hash if rows else NO_LINE
        )
        rows.append(StoredLine(n, str(n), "C1", None, body, hash_of(body)))
    walk = walk_chain(rows)
    assert walk.faults == []
    assert [note.sequence for note in walk.notes] == [2]
    assert "from 2031-05-04T09:00:00Z to 2031-05-02T09:00:00Z" in walk.notes[0].what


def test_what_no_line_can_be_is_a_fault_and_stops_nothing() -> None:
    rows = chain([Entry("made", f"C{n}", "A") for n in range(3)])
    for body in (b"", b"[]", b'{"form":1}', b"\xff\xfe", rows[1].body.replace(b'"data":{}', b'"data":[]')):
        spoiled = [rows[0], rows[1]._replace(body=body, hash=hash_of(body)), rows[2]]
        assert 2 in {fault.sequence for fault in walk_chain(spoiled).faults}, body
    assert walk_chain([rows[0]._replace(sequence=-5)]).faults


def _previous(rows: list[StoredLine], at: int) -> str:
    return rows[at - 1].hash if at else NO_LINE
