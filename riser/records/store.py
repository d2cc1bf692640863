# SPDX-License-Identifier: Apache-2.0
"""The store of record lines and contents: `records.sqlite` in the job folder, or PostgreSQL by URL.

Lines are added and read, nothing else. `append` returns when the lines are on the disk. A store opened with a
clock writes; without one it only reads.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Row, Select, insert, select, text

from riser.errors import RecordError
from riser.records.appending import append_in, last_line
from riser.records.connection import WRITES, plain_errors
from riser.records.errors import NoRecords, RecordsBusy, RecordsFull, RecordsStopped, UnknownRecords
from riser.records.kinds import check_entry
from riser.records.line import Entry, Line, StoredLine, hash_of, line_from_bytes
from riser.records.tables import CONTENTS, LINES, octets_of
from riser.records.writer_lock import WriterLock

_PAGE = 2000
_ENDS_ALL = (RecordsFull, RecordsBusy, RecordsStopped, UnknownRecords)
"""After these the database may have rolled back the whole transaction: no other job may go on in it."""


class Store:
    """Record lines and contents in one database. Made by `riser.records.open_store`; close it, or use it in
    a `with`."""

    def __init__(self, where: str, engine: Engine, clock: Callable[[], str] | None, lock: WriterLock | None,
                 content_bytes_max: int, path: Path | None) -> None:  # fmt: skip
        self.where = where
        self.engine = engine
        self.path = path
        self.content_bytes_max = content_bytes_max
        self._clock = clock
        self._lock = lock
        self._turn = threading.Lock()
        self._stopped: RecordsStopped | None = None

    def append(self, entries: Sequence[Entry]) -> list[Line]:
        """Add the entries as lines, all or none; returns their lines when they are on the disk.

        An entry whose key came before with the same content gives that line back. Raises WrongEntry,
        EntryKeyUsed, RecordsBusy, RecordsFull or RecordsStopped; the store stays usable after all but the
        last.
        """
        result = self.append_each([entries])[0]
        if isinstance(result, RecordError):
            raise result
        return result

    def append_each(self, jobs: Sequence[Sequence[Entry]]) -> list[list[Line] | RecordError]:
        """Add several independent jobs with one write to the disk; each goes in whole, or fails by itself."""
        results: list[list[Line] | RecordError] = []
        with self.writing() as connection:
            time = self.clock()()
            for job in jobs:
                try:
                    with plain_errors(self.where), connection.begin_nested():
                        for entry in job:
                            check_entry(entry)
                        results.append(append_in(connection, job, time))
                except _ENDS_ALL:
                    raise
                except RecordError as error:
                    results.append(error)
        return results

    @property
    def writes(self) -> bool:
        """Whether lines can be added through this store."""
        return self._clock is not None

    def clock(self) -> Callable[[], str]:
        """The clock this store writes with; RecordError when it was opened for reading."""
        if self._clock is None:
            raise RecordError(f"{self.where}: opened for reading only. Open it with a clock to write.")
        return self._clock

    @contextmanager
    def writing(self, tables_lock: str = "LOCK TABLE lines IN EXCLUSIVE MODE") -> Iterator[Connection]:
        """A transaction that no other writer shares; committed at the end, rolled back on any exception.

        `tables_lock` is what keeps other writers out on PostgreSQL; on SQLite BEGIN IMMEDIATE does.
        """
        self.clock()
        with self._turn:
            if self._stopped:
                raise self._stopped
            try:
                with plain_errors(self.where), self.engine.connect() as bare:
                    connection = bare.execution_options(**{WRITES: True})
                    with connection.begin():
                        if connection.dialect.name == "postgresql":
                            connection.execute(text(tables_lock))
                        yield connection
            except RecordsStopped as error:
                # After a failed sync the system may call the next one good: never try again on this opening.
                self._stopped = error
                raise

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection for reading; short use, since a reader of the rollback journal holds up the writer."""
        with plain_errors(self.where), self.engine.connect() as connection:
            yield connection

    def lines(self, after: int = 0) -> Iterator[Line]:
        """All lines in order, from the one after that sequence on."""
        for row in self.rows(after):
            yield _readable(self.where, row.sequence, row.body)

    def lines_about(self, thing: str) -> list[Line]:
        """All lines about one thing, in order, replaced ones too."""
        query = select(LINES.c.sequence, LINES.c.body).where(LINES.c.about == thing)
        return self._lines(query.order_by(LINES.c.sequence))

    def line(self, sequence: int) -> Line:
        """The line with that number; NoRecords where there is none."""
        found = self._lines(select(LINES.c.sequence, LINES.c.body).where(LINES.c.sequence == sequence))
        if not found:
            raise NoRecords(f"{self.where}: there is no line {sequence}.")
        return found[0]

    def line_with_key(self, entry_key: str) -> Line | None:
        """The line that an entry key was used for."""
        found = self._lines(select(LINES.c.sequence, LINES.c.body).where(LINES.c.entry_key == entry_key))
        return found[0] if found else None

    def latest(self) -> tuple[int, str]:
        """Sequence and hash of the last line; (0, zeros) where there is none."""
        with self.reading() as connection:
            return last_line(connection)

    def hash_at(self, sequence: int) -> str | None:
        """The stored hash of the line with that number, None where there is none."""
        with self.reading() as connection:
            found: str | None = connection.scalar(select(LINES.c.hash).where(LINES.c.sequence == sequence))
        return found

    def rows(self, after: int | None = None) -> Iterator[StoredLine]:
        """The stored rows in order, page by page; `after` None begins with whatever comes first."""
        query = select(LINES).order_by(LINES.c.sequence).limit(_PAGE)
        last = after
        while True:
            page = query if last is None else query.where(LINES.c.sequence > last)
            with self.reading() as connection:
                rows = [_stored(row) for row in connection.execute(page)]
            if not rows:
                return
            yield from rows
            last = rows[-1].sequence

    def put_content(self, content: bytes) -> str:
        """Keep the bytes, once; returns their SHA-256 when they are on the disk."""
        if len(content) > self.content_bytes_max:
            raise RecordError(
                f"{self.where}: {len(content)} bytes; a content may have {self.content_bytes_max}. "
                "Make it smaller."
            )
        digest = hash_of(content)
        with self.writing() as connection:
            if connection.scalar(select(CONTENTS.c.hash).where(CONTENTS.c.hash == digest)) is None:
                connection.execute(insert(CONTENTS).values(hash=digest, bytes=content))
        return digest

    def content(self, digest: str) -> bytes:
        """The bytes with that SHA-256; NoRecords where there are none, RecordError where altered."""
        with self.reading() as connection:
            found = connection.scalar(select(CONTENTS.c.bytes).where(CONTENTS.c.hash == digest))
        if found is None:
            raise NoRecords(f"{self.where}: no content {digest} is stored.")
        octets = octets_of(found)
        if hash_of(octets) != digest:
            raise RecordError(f"{self.where}: the content {digest} was changed. Restore a backup.")
        return octets

    def content_hashes(self) -> list[str]:
        """The SHA-256 of every stored content, sorted."""
        with self.reading() as connection:
            return sorted(connection.scalars(select(CONTENTS.c.hash)))

    def close(self) -> None:
        """Close the connections and let the next writer in."""
        self.engine.dispose()
        if self._lock is not None:
            self._lock.let_go()

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _lines(self, query: Select[tuple[int, Any]]) -> list[Line]:
        with self.reading() as connection:
            rows = connection.execute(query).all()
        return [_readable(self.where, row.sequence, octets_of(row.body)) for row in rows]


def _stored(row: Row[Any]) -> StoredLine:
    return StoredLine(row.sequence, row.entry_key, row.about, row.replaces, octets_of(row.body), row.hash)


def _readable(where: str, sequence: int, body: bytes) -> Line:
    try:
        return line_from_bytes(body)
    except ValueError as error:
        raise RecordError(f"{where}: line {sequence} cannot be read ({error}). Run verify.") from error
