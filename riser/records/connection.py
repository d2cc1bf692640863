# SPDX-License-Identifier: Apache-2.0
"""Connections to the records: what is set on each of them, held against what the database answers.

Durability hangs on settings that belong to a connection, not to a file, so they are set and read back on
every one. Database errors leave here as sentences.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, exc
from sqlalchemy.pool import QueuePool

from riser.errors import RecordError
from riser.records.errors import RecordsBusy, RecordsFull, RecordsStopped, UnknownRecords
from riser.records.journal import STRICT_TABLES_SINCE, Journal, journal_for, library_version

WRITES = "riser_writes"
"""Execution option of a connection that is going to append."""


def sqlite_engine(path: Path, *, writes: bool, wait_s: float) -> Engine:
    """Connections to a records file; a writing one creates it and chooses the journal."""
    if library_version() < STRICT_TABLES_SINCE:
        raise RecordError(
            f"SQLite {sqlite3.sqlite_version} is too old for the records; 3.37 or newer is needed. "
            "Use a newer Python."
        )
    journal = journal_for(library_version())

    def connect() -> sqlite3.Connection:
        address = f"{path.resolve().as_uri()}?mode={_opening_mode(path, writes, journal)}"
        connection = sqlite3.connect(
            address, uri=True, timeout=wait_s, isolation_level=None, check_same_thread=False
        )
        try:
            _set_sqlite(connection, journal, writes=writes, wait_s=wait_s)
        except BaseException:
            connection.close()
            raise
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=QueuePool, pool_size=4)

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # IMMEDIATE takes the write lock before reading: no other program can come between read and insert.
        immediate = connection.get_execution_options().get(WRITES, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")

    return engine


def postgresql_engine(url: URL, *, writes: bool, wait_s: float) -> Engine:
    """Connections to records on PostgreSQL (psycopg 3)."""
    try:
        engine = create_engine(url.set(drivername="postgresql+psycopg"), pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise RecordError(
            f"records on PostgreSQL need the package {error.name}. Install riser[postgres]."
        ) from None

    @event.listens_for(engine, "connect")
    def _set(connection: Any, _record: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SET synchronous_commit = on")
            cursor.execute(f"SET lock_timeout = {int(wait_s * 1000)}")
            if not writes:
                cursor.execute("SET default_transaction_read_only = on")
            cursor.execute("SELECT current_setting('fsync'), current_setting('synchronous_commit')")
            fsync, commit = cursor.fetchone()
        connection.commit()
        if writes:
            insist_durable(fsync, commit)

    return engine


def insist_durable(fsync: str, synchronous_commit: str) -> None:
    """RecordError unless PostgreSQL answers a commit only when it is on the disk."""
    if (fsync, synchronous_commit) != ("on", "on"):
        raise RecordError(
            f"this PostgreSQL runs with fsync = {fsync}, synchronous_commit = {synchronous_commit}: an "
            "acknowledged line could be lost in a power cut. Switch both on."
        )


def _opening_mode(path: Path, writes: bool, journal: Journal) -> str:
    """How to open the file. Readers may roll back what a killed writer left, so they need to write too.

    Only a reader with an affected library must not: closing a write-ahead file, it could checkpoint.
    """
    if writes:
        return "rwc"
    return "ro" if journal.mode != "wal" and is_write_ahead(path) else "rw"


def is_write_ahead(path: Path) -> bool:
    """Whether the file's header says write-ahead (file format, bytes 18 and 19)."""
    with path.open("rb") as file:
        return file.read(20)[18:] == b"\x02\x02"


def _set_sqlite(connection: sqlite3.Connection, journal: Journal, *, writes: bool, wait_s: float) -> None:
    pragmas: dict[str, int | str] = {
        "busy_timeout": int(wait_s * 1000),
        "foreign_keys": 1,
        "trusted_schema": 0,
        "cell_size_check": 1,
    }
    if writes:
        pragmas["journal_mode"] = journal.mode
    else:
        pragmas["query_only"] = 1
    pragmas["synchronous"] = journal.synchronous
    for name, value in pragmas.items():
        connection.execute(f"PRAGMA {name} = {value}")
    for name, value in pragmas.items():
        held = connection.execute(f"PRAGMA {name}").fetchone()[0]
        if held != value:
            raise RecordError(
                f"SQLite keeps {name} = {held} where {value} was asked: an acknowledged line could be lost. "
                "Keep the records on a local disk."
            )


@contextmanager
def plain_errors(where: str) -> Iterator[None]:
    """Turn a database error into a RecordError that says what, where and what to do."""
    try:
        yield
    except exc.DBAPIError as error:
        raise _sentence(where, error.orig) from error
    except sqlite3.Error as error:
        raise _sentence(where, error) from error


_AFTER = "Nothing more is written until the records are opened anew; look after the disk first."
_KINDS_OF_ERROR: tuple[tuple[set[object], type[RecordError], str], ...] = (
    ({sqlite3.SQLITE_FULL, "53100"}, RecordsFull, "the disk is full; nothing was written. Make room first."),
    (
        {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, "55P03"},
        RecordsBusy,
        "another program is writing; nothing was written. Try again.",
    ),
    ({sqlite3.SQLITE_IOERR, "58030"}, RecordsStopped, f"the disk failed. {_AFTER}"),
    (
        {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, "XX001", "XX002"},
        UnknownRecords,
        "damaged, or not a records file. Restore a backup.",
    ),
    (
        {sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, "42501"},
        RecordError,
        "cannot be opened for that. Look at the rights of file and folder.",
    ),
)


def _sentence(where: str, error: object) -> RecordError:
    code = getattr(error, "sqlite_errorcode", None)
    # The low byte is the kind of error; the rest says at which call.
    kind: object = code & 0xFF if isinstance(code, int) else getattr(error, "sqlstate", None)
    said = " ".join(str(error).split())
    for kinds, refusal, says in _KINDS_OF_ERROR:
        if kind in kinds:
            return refusal(f"{where}: {says} ({said})")
    if isinstance(error, sqlite3.OperationalError) and kind is None:
        return UnknownRecords(f"{where}: damaged. Restore a backup. ({said})")
    if kind is None or str(kind)[:2] in {"08", "57"}:
        return RecordError(
            f"{where}: the database is out of reach. Whether the last entry was written is not known: send "
            f"it again with the same entry key. ({said})"
        )
    return RecordError(f"{where}: the database refused. ({said})")
