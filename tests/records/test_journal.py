# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from riser.errors import RecordError
from riser.records import Entry, open_store, utc_now
from riser.records import connection as connections
from riser.records.journal import journal_for, library_version, loses_lines_in_wal


@pytest.mark.parametrize(
    ("version", "affected"),
    [
        # Range and cures as four issue reports and a summary of 3.51.3 give them.
        ((3, 6, 23), False),
        ((3, 7, 0), True),
        ((3, 40, 1), True),
        ((3, 44, 5), True),
        ((3, 44, 6), False),
        ((3, 44, 9), False),
        ((3, 45, 0), True),
        ((3, 50, 6), True),
        ((3, 50, 7), False),
        ((3, 51, 0), True),
        ((3, 51, 2), True),
        ((3, 51, 3), False),
        ((3, 54, 1), False),
        ((4, 0, 0), False),
    ],
)
def test_the_versions_that_can_lose_a_line_get_the_rollback_journal(
    version: tuple[int, int, int], affected: bool
) -> None:
    assert loses_lines_in_wal(version) is affected
    journal = journal_for(version)
    assert (journal.mode, journal.synchronous) == (("delete", 3) if affected else ("wal", 2))
    assert ".".join(map(str, version)) in journal.says


def test_the_library_version_is_the_one_python_runs_with() -> None:
    assert ".".join(map(str, library_version())) == sqlite3.sqlite_version


@pytest.mark.parametrize(
    ("version", "mode", "synchronous"), [((3, 40, 1), "delete", 3), ((3, 51, 3), "wal", 2)]
)
def test_every_connection_carries_the_durable_settings(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    version: tuple[int, int, int],
    mode: str,
    synchronous: int,
) -> None:
    monkeypatch.setattr(connections, "library_version", lambda: version)
    with open_store(tmp_path, clock=utc_now) as store:
        store.append([Entry("made", "C1", "F. Foreman")])
        with store.engine.connect() as one, store.engine.connect() as two:
            for each in (one, two):
                read = {
                    name: each.exec_driver_sql(f"PRAGMA {name}").scalar_one()
                    for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
                }
                assert read == {
                    "journal_mode": mode,
                    "synchronous": synchronous,
                    "foreign_keys": 1,
                    "busy_timeout": 5000,
                }


def test_a_write_ahead_file_goes_back_to_the_rollback_journal_under_an_affected_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(connections, "library_version", lambda: (3, 51, 3))
    with open_store(tmp_path, clock=utc_now) as store:
        line = store.append([Entry("made", "C1", "F. Foreman")])[0]
    assert connections.is_write_ahead(tmp_path / "records.sqlite")
    monkeypatch.setattr(connections, "library_version", lambda: (3, 40, 1))
    with open_store(tmp_path) as reader:
        # An affected library only looks at a write-ahead file: it must not checkpoint.
        assert reader.line(1) == line
        with reader.reading() as connection:
            connection.exec_driver_sql("PRAGMA query_only = 0")
        with reader.reading() as connection, pytest.raises(OperationalError, match="readonly"):
            connection.exec_driver_sql("CREATE TABLE notes (text TEXT)")
        assert connections.is_write_ahead(tmp_path / "records.sqlite")
    with open_store(tmp_path, clock=utc_now) as store:
        assert store.line(1) == line
    assert not connections.is_write_ahead(tmp_path / "records.sqlite")


def test_a_setting_that_the_database_does_not_keep_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from riser.records.journal import Journal

    monkeypatch.setattr(connections, "journal_for", lambda _: Journal("memory", 7, "a mode with no meaning"))
    with pytest.raises(RecordError, match="an acknowledged line could be lost"):
        open_store(tmp_path, clock=utc_now)


def test_an_sqlite_without_strict_tables_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connections, "library_version", lambda: (3, 36, 0))
    with pytest.raises(RecordError, match=r"3\.37 or newer"):
        open_store(tmp_path, clock=utc_now)
