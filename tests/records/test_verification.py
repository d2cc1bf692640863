# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from riser.records import Entry, Store, open_store, state_of, verify
from riser.records.errors import NotWhole
from riser.records.line import NO_LINE
from riser.records.verification import insist_whole


def test_empty_records_are_whole(store: Store) -> None:
    verification = verify(store)
    assert (verification.is_whole, verification.lines, verification.latest_hash) == (True, 0, NO_LINE)


def test_a_verification_says_how_many_lines_and_which_is_the_last(filled: Store) -> None:
    verification = verify(filled)
    assert verification.faults == verification.notes == ()
    assert (verification.lines, verification.latest_sequence) == (12, 12)
    assert verification.latest_hash == filled.line(12).hash
    assert json.loads(json.dumps(verification.as_json())) == {
        "lines": 12,
        "latest_sequence": 12,
        "latest_hash": filled.line(12).hash,
        "is_whole": True,
        "marks_held": 0,
        "faults": [],
        "notes": [],
    }


def test_a_clock_two_days_back_changes_no_order_and_is_noted(store: Store, clock: Any) -> None:
    store.append([Entry("capped", "S1", "F. Foreman")])
    clock.set_back(days=2)
    store.append([Entry("uncapped", "S1", "F. Foreman"), Entry("capped", "S2", "F. Foreman")])
    verification = verify(store)
    assert verification.is_whole
    assert [note.sequence for note in verification.notes] == [2]
    assert "the clock went back" in verification.notes[0].what
    assert [line.sequence for line in store.lines()] == [1, 2, 3]
    assert list(state_of(store.lines()).capped) == ["S2"]


def test_a_store_that_cannot_be_read_further_is_a_fault_and_no_crash(
    filled: Store, place: str | Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from riser.errors import RecordError

    def broken() -> list[str]:
        raise RecordError("the file is damaged")

    monkeypatch.setattr(filled, "content_hashes", broken)
    faults = verify(filled).faults
    assert [(fault.sequence, fault.what) for fault in faults] == [(0, "the file is damaged")]


def test_whole_records_may_be_insisted_on(filled: Store, clock: Callable[[], str]) -> None:
    assert insist_whole(filled, "not printed").is_whole
    with filled.writing() as connection:
        connection.exec_driver_sql("CREATE TABLE notes (text TEXT)")
    with pytest.raises(NotWhole, match="not printed: the table") as refused:
        insist_whole(filled, "not printed")
    assert {number for number, _ in refused.value.faults} == {0}


def test_contents_may_be_left_unread_but_never_missing(tmp_path: Path, clock: Callable[[], str]) -> None:
    import sqlite3

    with open_store(tmp_path, clock=clock) as store:
        digest = store.put_content(b"a picture")
        store.append([Entry("photo", "C1", "F", data={"content": digest})])
    connection = sqlite3.connect(tmp_path / "records.sqlite")
    guard = connection.execute(
        "SELECT sql FROM sqlite_master WHERE name = 'contents_never_changed'"
    ).fetchone()[0]
    connection.executescript(
        f"DROP TRIGGER contents_never_changed; UPDATE contents SET bytes = x'00'; {guard}"
    )
    connection.close()
    with open_store(tmp_path) as store:
        assert verify(store, contents=False).is_whole
        assert [fault.sequence for fault in verify(store).faults] == [1]
