# SPDX-License-Identifier: Apache-2.0
"""Whether the tables, guards and indexes of the records are the ones that riser made, and nothing besides."""

from __future__ import annotations

import sqlite3

from sqlalchemy import Connection, select, text

from riser.records.errors import UnknownRecords
from riser.records.migrate import MIGRATIONS, version_of
from riser.records.tables import POSTGRESQL_GUARD, VERSIONS

_HERE = "relnamespace = current_schema()::regnamespace"
_POSTGRESQL = {
    "table": "SELECT concat(c.relname, ' ', c.relkind, c.relpersistence) FROM pg_class c"
    f" WHERE c.{_HERE} AND c.relkind <> 'i'",
    "trigger": "SELECT concat(g.tgname, ' on ', c.relname, ' ', g.tgtype, g.tgenabled, ' ', p.proname)"
    " FROM pg_trigger g JOIN pg_class c ON c.oid = g.tgrelid JOIN pg_proc p ON p.oid = g.tgfoid"
    f" WHERE NOT g.tgisinternal AND c.{_HERE}",
    "rule": "SELECT concat(r.rulename, ' on ', c.relname) FROM pg_rewrite r"
    f" JOIN pg_class c ON c.oid = r.ev_class WHERE c.{_HERE}",
    "constraint": "SELECT concat(c.relname, ' ', pg_get_constraintdef(k.oid)) FROM pg_constraint k"
    " JOIN pg_class c ON c.oid = k.conrelid"
    f" WHERE c.{_HERE} AND k.contype IN ('p', 'u', 'f', 'c')",
    "index": "SELECT concat(indexname, ' ', regexp_replace(indexdef, '^.* USING ', '')) FROM pg_indexes"
    " WHERE schemaname = current_schema()",
    "guard": "SELECT prosrc FROM pg_proc WHERE proname = 'records_guard'"
    " AND pronamespace = current_schema()::regnamespace",
}
_POSTGRESQL_EXPECTED = {
    "table": {"records_version rp", "lines rp", "contents rp"},
    "trigger": {
        "lines_in_order on lines 7O records_guard",
        "lines_never_changed on lines 27O records_guard",
        "lines_never_emptied on lines 34O records_guard",
        "contents_never_changed on contents 27O records_guard",
        "contents_never_emptied on contents 34O records_guard",
    },
    "rule": set[str](),
    "constraint": {
        "records_version PRIMARY KEY (version)",
        "lines PRIMARY KEY (sequence)",
        "lines UNIQUE (entry_key)",
        "lines UNIQUE (replaces)",
        "lines FOREIGN KEY (replaces) REFERENCES lines(sequence)",
        "lines CHECK ((sequence > 0))",
        "lines CHECK ((replaces < sequence))",
        "contents PRIMARY KEY (hash)",
    },
    "index": {
        "records_version_pkey btree (version)",
        "lines_pkey btree (sequence)",
        "lines_entry_key_key btree (entry_key)",
        "lines_replaces_key btree (replaces)",
        "lines_by_about btree (about, sequence)",
        "contents_pkey btree (hash)",
    },
    "guard": {POSTGRESQL_GUARD},
}


def structure_faults(connection: Connection) -> list[str]:
    """What differs from the tables as riser makes them; each as part of a sentence."""
    try:
        version = version_of(connection)
    except UnknownRecords as error:
        return [str(error)]
    if version is None:
        return ["the tables of the records are not there"]
    steps = [(step.version, step.name) for step in MIGRATIONS if step.version <= version]
    done = [tuple(row) for row in connection.execute(select(VERSIONS).order_by(VERSIONS.c.version))]
    faults = [] if done == steps else ["the list of changes to the tables was changed"]
    if connection.dialect.name == "sqlite":
        return faults + _sqlite_faults(connection, version)
    return faults + _postgresql_faults(connection, version)


def _sqlite_faults(connection: Connection, version: int) -> list[str]:
    query = "SELECT type, name, tbl_name, sql FROM sqlite_master"
    found = {tuple(row) for row in connection.exec_driver_sql(query)}
    reference = sqlite3.connect(":memory:")
    try:
        for step in MIGRATIONS[: version + 1]:
            for statement in step.statements("sqlite"):
                reference.execute(statement)
        expected = {tuple(row) for row in reference.execute(query)}
    finally:
        reference.close()
    faults = _difference({f"{row[0]} {row[1]}" for row in expected ^ found}, expected, found)
    for row in connection.exec_driver_sql("PRAGMA integrity_check"):
        if row[0] != "ok":
            faults.append(f"the file is damaged: {row[0]}")
    if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
        faults.append("a line replaces a line that is not there")
    return faults


def _difference(names: set[str], expected: set[tuple[str, ...]], found: set[tuple[str, ...]]) -> list[str]:
    ours = {f"{row[0]} {row[1]}" for row in expected}
    there = {f"{row[0]} {row[1]}" for row in found}
    faults = []
    for name in sorted(names):
        if name not in there:
            faults.append(f"the {name} was removed")
        elif name not in ours:
            faults.append(f"the {name} was put in")
        else:
            faults.append(f"the {name} was changed")
    return faults


def _postgresql_faults(connection: Connection, version: int) -> list[str]:
    faults = []
    for what, query in _POSTGRESQL.items():
        found = {str(row[0]) for row in connection.execute(text(query))}
        expected = set(_POSTGRESQL_EXPECTED[what])
        if version < 1:
            expected.discard("lines_by_about btree (about, sequence)")
        faults += [f"the {what} {name.strip()!r} was removed or changed" for name in sorted(expected - found)]
        faults += [f"the {what} {name.strip()!r} was put in or changed" for name in sorted(found - expected)]
    return faults
