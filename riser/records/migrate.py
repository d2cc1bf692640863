# SPDX-License-Identifier: Apache-2.0
"""How older records are brought up to date: numbered steps, each done once, none touching a line.

A step may add an index, a table or a guard. It may never write into `lines` or `contents`; after the steps
the last line and its hash must be what they were, or nothing is changed at all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Connection, func, insert, inspect, select

from riser.errors import RecordError
from riser.records.errors import UnknownRecords
from riser.records.tables import LINES, VERSIONS, first_tables


@dataclass(frozen=True, slots=True)
class Migration:
    """One step: the version it leads to, its name, and its statements for a database."""

    version: int
    name: str
    statements: Callable[[str], list[str]]


def index_lines_by_about(_dialect: str) -> list[str]:
    """Lines about one thing are found without reading all of them."""
    return ["CREATE INDEX lines_by_about ON lines (about, sequence)"]


MIGRATIONS = (
    Migration(0, "first tables", first_tables),
    Migration(1, "lines found by what they are about", index_lines_by_about),
)
NEWEST = MIGRATIONS[-1].version


def version_of(connection: Connection) -> int | None:
    """The version of the tables, None where there are none; UnknownRecords for somebody else's tables."""
    tables = set(inspect(connection).get_table_names())
    if VERSIONS.name not in tables:
        if tables & {LINES.name, "contents"} or (connection.dialect.name == "sqlite" and tables):
            raise UnknownRecords(
                f"this database holds other tables ({', '.join(sorted(tables)[:5])}) and not riser's "
                "records. Give another place."
            )
        return None
    version: int | None = connection.scalar(select(func.max(VERSIONS.c.version)))
    if version is None or version > NEWEST:
        raise UnknownRecords(
            f"these records have tables of version {version}; this riser knows up to {NEWEST}. "
            "Use the riser that wrote them, or a newer one."
        )
    return version


def bring_up_to_date(connection: Connection, upto: int = NEWEST) -> list[str]:
    """Do the steps that are missing, inside the caller's transaction; the names of those done."""
    dialect = connection.dialect.name
    version = version_of(connection)
    before = _latest(connection) if version is not None else None
    done = []
    for step in MIGRATIONS:
        if step.version > upto or (version is not None and step.version <= version):
            continue
        for statement in step.statements(dialect):
            connection.exec_driver_sql(statement)
        connection.execute(insert(VERSIONS).values(version=step.version, name=step.name))
        done.append(step.name)
    if before is not None and _latest(connection) != before:
        raise RecordError("bringing the records up to date would change their last line; nothing was changed")
    return done


def _latest(connection: Connection) -> tuple[object, ...]:
    count = select(func.count()).select_from(LINES)
    last = select(LINES.c.sequence, LINES.c.hash).order_by(LINES.c.sequence.desc()).limit(1)
    return (connection.scalar(count), tuple(connection.execute(last).one_or_none() or ()))
