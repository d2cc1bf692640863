# SPDX-License-Identifier: Apache-2.0
"""The tables of the records, for SQLite and PostgreSQL: two that hold evidence, one that counts their
changes.

Everything a line says stands in `body`; the other columns repeat what the database must find or keep unique,
and `verify` holds them against the body. The database itself refuses to change or remove a row: that stops
slips, not somebody who can write the file; for those there are the chain and the marks.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import BigInteger, Text, column, table

# `body` and `bytes` have no type here: what a damaged file gives back must reach `verify` as it is.
LINES = table(
    "lines",
    column("sequence", BigInteger()),
    column("entry_key", Text()),
    column("about", Text()),
    column("replaces", BigInteger()),
    column("body"),
    column("hash", Text()),
)
CONTENTS = table("contents", column("hash", Text()), column("bytes"))
VERSIONS = table("records_version", column("version", BigInteger()), column("name", Text()))

_NEVER = "record lines and contents are never changed or removed"
_IN_ORDER = "a record line may only be added after the last one"
_ONCE = "a content is stored once"

POSTGRESQL_GUARD = f"""
BEGIN
  IF TG_OP = 'INSERT' THEN
    IF NEW.sequence <> (SELECT coalesce(max(sequence), 0) + 1 FROM lines) THEN
      RAISE EXCEPTION '{_IN_ORDER}';
    END IF;
    RETURN NEW;
  END IF;
  RAISE EXCEPTION '{_NEVER}';
END
"""
"""The body of the function that PostgreSQL's triggers call."""


def octets_of(value: Any) -> bytes:
    """The bytes of a stored body or content, also where damage has turned them into something else."""
    if isinstance(value, str):
        return value.encode("utf-8", "surrogatepass")
    return bytes(value) if isinstance(value, bytes | memoryview) else repr(value).encode()


def first_tables(dialect: str) -> list[str]:
    """The statements that make the tables of version 0. Never edited: what changes is a migration."""
    if dialect == "sqlite":
        return [*_tables("INTEGER", "BLOB", " STRICT"), *_sqlite_triggers()]
    return [*_tables("BIGINT", "BYTEA", ""), *_postgresql_triggers()]


def _tables(whole: str, octets: str, strict: str) -> list[str]:
    return [
        f"CREATE TABLE records_version (version {whole} NOT NULL PRIMARY KEY, name TEXT NOT NULL){strict}",
        f"""CREATE TABLE lines (
  sequence {whole} NOT NULL PRIMARY KEY,
  entry_key TEXT NOT NULL UNIQUE,
  about TEXT NOT NULL,
  replaces {whole} UNIQUE REFERENCES lines (sequence),
  body {octets} NOT NULL,
  hash TEXT NOT NULL,
  CHECK (sequence > 0),
  CHECK (replaces < sequence)
){strict}""",
        f"CREATE TABLE contents (hash TEXT NOT NULL PRIMARY KEY, bytes {octets} NOT NULL){strict}",
    ]


def _sqlite_triggers() -> list[str]:
    """The insert triggers also stop INSERT OR REPLACE, which would remove a row without a delete trigger."""
    not_next = "NEW.sequence <> (SELECT coalesce(max(sequence), 0) + 1 FROM lines)"
    there = "EXISTS (SELECT 1 FROM contents WHERE hash = NEW.hash)"
    return [
        _refusal("lines_in_order", f"BEFORE INSERT ON lines WHEN {not_next}", _IN_ORDER),
        _refusal("lines_never_changed", "BEFORE UPDATE ON lines", _NEVER),
        _refusal("lines_never_removed", "BEFORE DELETE ON lines", _NEVER),
        _refusal("contents_once", f"BEFORE INSERT ON contents WHEN {there}", _ONCE),
        _refusal("contents_never_changed", "BEFORE UPDATE ON contents", _NEVER),
        _refusal("contents_never_removed", "BEFORE DELETE ON contents", _NEVER),
    ]


def _refusal(name: str, when: str, says: str) -> str:
    return f"CREATE TRIGGER {name} {when} BEGIN SELECT RAISE(ABORT, '{says}'); END"


def _postgresql_triggers() -> list[str]:
    calls = "EXECUTE FUNCTION records_guard()"
    changed = f"FOR EACH ROW {calls}"
    return [
        "CREATE FUNCTION records_guard() RETURNS trigger LANGUAGE plpgsql "
        f"AS $guard${POSTGRESQL_GUARD}$guard$",
        f"CREATE TRIGGER lines_in_order BEFORE INSERT ON lines {changed}",
        f"CREATE TRIGGER lines_never_changed BEFORE UPDATE OR DELETE ON lines {changed}",
        f"CREATE TRIGGER lines_never_emptied BEFORE TRUNCATE ON lines {calls}",
        f"CREATE TRIGGER contents_never_changed BEFORE UPDATE OR DELETE ON contents {changed}",
        f"CREATE TRIGGER contents_never_emptied BEFORE TRUNCATE ON contents {calls}",
    ]
