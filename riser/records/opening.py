# SPDX-License-Identifier: Apache-2.0
"""Opening the records of a job: a file, a job folder or a database URL."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from riser.errors import RecordError
from riser.records.connection import postgresql_engine, sqlite_engine
from riser.records.errors import NoRecords
from riser.records.migrate import NEWEST, bring_up_to_date, version_of
from riser.records.store import Store
from riser.records.writer_lock import WriterLock

FILE_NAME = "records.sqlite"
CONTENT_BYTES_MAX = 64 * 2**20
_TABLES_LOCK = "SELECT pg_advisory_xact_lock(7521962890171)"
"""Any number will do, so long as every riser uses the same: two of them may open a new database at once."""


def open_store(
    where: str | Path,
    *,
    clock: Callable[[], str] | None = None,
    wait_s: float = 5.0,
    content_bytes_max: int = CONTENT_BYTES_MAX,
    backups: Path | None = None,
) -> Store:
    """The records at a path (a file, or a job folder) or a database URL.

    With a `clock` (returning a server time, such as `utc_now`) the store writes: it is made if it is not
    there, brought up to date if it is old after a backup into the folder `backups` (by default the file's
    own), and other writers wait `wait_s` seconds. Without a clock it only reads, and must be there. Raises
    NoRecords, RecordsBusy, UnknownRecords.
    """
    url = _database_url(str(where)) if "://" in str(where) else None
    if url is None or url.get_backend_name() == "sqlite":
        path = Path(where) if url is None else Path(url.database or "")
        path = path / FILE_NAME if path.is_dir() else path
        store = _sqlite_store(path, clock, wait_s, content_bytes_max)
        backups = backups or path.parent
    else:
        engine = postgresql_engine(url, writes=clock is not None, wait_s=wait_s)
        shown = url.render_as_string(hide_password=True)
        store = Store(shown, engine, clock, None, content_bytes_max, None)
    try:
        _make_ready(store, backups)
    except BaseException:
        store.close()
        raise
    return store


def _database_url(address: str) -> URL:
    try:
        url = make_url(address.replace("postgres://", "postgresql://", 1))
    except ArgumentError:
        raise RecordError(f"{address!r} is no database address. Give postgresql://... or a path.") from None
    if url.get_backend_name() not in {"sqlite", "postgresql"}:
        raise RecordError(f"records are kept in SQLite or PostgreSQL, not in {url.get_backend_name()}.")
    return url


def _sqlite_store(
    path: Path, clock: Callable[[], str] | None, wait_s: float, content_bytes_max: int
) -> Store:
    if not (path if clock is None else path.parent).exists():
        raise NoRecords(f"{path}: there are no records here. Record something first, or give another place.")
    lock = WriterLock(path) if clock else None
    if lock:
        lock.take(wait_s)
    try:
        engine = sqlite_engine(path, writes=clock is not None, wait_s=wait_s)
    except BaseException:
        if lock:
            lock.let_go()
        raise
    return Store(str(path), engine, clock, lock, content_bytes_max, path)


def _make_ready(store: Store, backups: Path | None) -> None:
    with store.reading() as connection:
        version = version_of(connection)
    if not store.writes:
        if version is None:
            raise NoRecords(f"{store.where}: there are no records here. Record something first.")
        return
    if version == NEWEST:
        return
    if version is not None:
        _back_up_first(store, version, backups)
    with store.writing(_TABLES_LOCK) as connection:
        bring_up_to_date(connection)
    if store.path is not None:
        sync_folder(store.path.parent)


def _back_up_first(store: Store, version: int, backups: Path | None) -> None:
    from riser.records.backup import back_up

    if backups is None:
        raise RecordError(
            f"{store.where}: tables of version {version} must be brought to version {NEWEST}, after a "
            "backup. Say in which folder to put it (backups=...)."
        )
    name = store.path.name if store.path else FILE_NAME
    target = backups / f"{name}.version-{version}"
    number = 1
    while target.exists():
        number += 1
        target = backups / f"{name}.version-{version}-{number}"
    back_up(store, target)


def sync_folder(folder: Path) -> None:
    """Bring a folder's own entries to the disk, so that a new file's name survives a power cut."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
