# SPDX-License-Identifier: Apache-2.0
"""Backup, restore, and moving the records between SQLite and PostgreSQL; lines and contents go over
unchanged.

A backup is one SQLite file with everything in it, whatever database it was taken from, and beside it a file
with its SHA-256 in the form that `sha256sum -c` reads.
"""

from __future__ import annotations

import hashlib
import os
import re
import sqlite3
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path

from sqlalchemy import Connection, insert

from riser.errors import RecordError
from riser.records.connection import plain_errors
from riser.records.errors import NoRecords
from riser.records.opening import open_store, sync_folder
from riser.records.store import Store
from riser.records.tables import CONTENTS, LINES
from riser.records.verification import Verification, insist_whole

_AT_ONCE = 1000
_SUM = re.compile(r"([0-9a-f]{64})  (.+)\n")


def back_up(store: Store, target: Path) -> Path:
    """Write a backup, complete up to its start, while others may go on writing; returns the file.

    The file appears under its name only when all of it is on the disk. RecordError when it exists already.
    """
    if target.exists():
        raise RecordError(f"{target}: there is a file already. Give another name for the backup.")
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    try:
        if store.path is not None:
            _copy_file(store, part)
        else:
            _copy_to_file(store, part)
        _name_it(part, target)
    finally:
        for rest in (part, part.with_name(part.name + ".lock")):
            rest.unlink(missing_ok=True)
    return target


def restore(backup: Path, where: str | Path, clock: Callable[[], str]) -> Verification:
    """Put a backup back to a place that holds no lines yet, after checking every byte and every line of it.

    RecordError when the backup was changed or cut off; NotWhole when its lines are not whole.
    """
    _check_sum(backup)
    with open_store(backup) as source, open_store(where, clock=clock) as target:
        insist_whole(source, "not restored, the backup is not whole")
        return _copy_lines(source, target)


def move(source: Store, target: Store) -> Verification:
    """Copy all lines and contents into an empty store; the latest mark stays what it was.

    The source is held still meanwhile, so both must be open for writing. It is left as it is: put it away
    afterwards, or two histories may grow from it.
    """
    insist_whole(source, "not moved, the records are not whole")
    with source.writing():
        return _copy_lines(source, target)


def sum_file(backup: Path) -> Path:
    """Where the SHA-256 of a backup stands."""
    return backup.with_name(backup.name + ".sha256")


def _copy_lines(source: Store, target: Store) -> Verification:
    if target.latest()[0]:
        raise RecordError(f"{target.where}: holds lines already. Give an empty place.")
    with target.writing() as connection:
        for rows in _batches(source):
            connection.execute(insert(LINES), rows)
        _copy_contents(source, connection)
    verification = insist_whole(target, "the copy is not whole; do not use it")
    if (verification.latest_sequence, verification.latest_hash) != source.latest():
        raise RecordError(f"{target.where}: the copy has another last line than {source.where}.")
    return verification


def _batches(source: Store) -> Iterator[list[dict[str, object]]]:
    rows = source.rows()
    while batch := [row._asdict() for row in islice(rows, _AT_ONCE)]:
        yield batch


def _copy_contents(source: Store, connection: Connection) -> None:
    """After the lines: a content is stored before the line that names it, so none can be missing."""
    for digest in source.content_hashes():
        connection.execute(insert(CONTENTS).values(hash=digest, bytes=source.content(digest)))


def _copy_file(store: Store, part: Path) -> None:
    """By SQLite's own backup, in one step: it sees one moment, with what is still in the journal."""
    with plain_errors(store.where):
        raw = store.engine.raw_connection()
        copy = sqlite3.connect(part)
        try:
            source = raw.driver_connection
            if not isinstance(source, sqlite3.Connection):
                raise RecordError(f"{store.where}: not a records file")
            source.backup(copy)
            # A copy of a write-ahead file says so in its header; a backup must be one file by itself.
            copy.execute("PRAGMA journal_mode = DELETE")
        finally:
            copy.close()
            raw.close()


def _copy_to_file(store: Store, part: Path) -> None:
    with open_store(part, clock=lambda: "2000-01-01T00:00:00Z") as copy, copy.writing() as connection:
        for rows in _batches(store):
            connection.execute(insert(LINES), rows)
        _copy_contents(store, connection)
    with plain_errors(store.where):
        journal = sqlite3.connect(part)
        try:
            journal.execute("PRAGMA journal_mode = DELETE")
        finally:
            journal.close()


def _name_it(part: Path, target: Path) -> None:
    with part.open("rb+") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
        os.fsync(file.fileno())
    with sum_file(target).open("w", encoding="utf-8", newline="\n") as file_of_sum:
        file_of_sum.write(f"{digest}  {target.name}\n")
        file_of_sum.flush()
        os.fsync(file_of_sum.fileno())
    part.replace(target)
    sync_folder(target.parent)


def _check_sum(backup: Path) -> None:
    if not backup.exists() or not sum_file(backup).exists():
        raise NoRecords(f"{backup}: no backup here with its .sha256 file beside it. Give the place of both.")
    found = _SUM.fullmatch(sum_file(backup).read_bytes().decode("utf-8", "replace"))
    with backup.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    if found is None or found[1] != digest:
        raise RecordError(f"{backup}: was changed or cut off since it was made. Use another backup.")
