# SPDX-License-Identifier: Apache-2.0
"""Entries become lines: what is checked against the lines already there, inside one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from riser.errors import RecordError
from riser.records.errors import EntryKeyUsed, WrongEntry
from riser.records.kinds import KINDS, check_data, contents_named
from riser.records.line import NO_LINE, Entry, Line, hash_of, is_same_content, line_bytes, line_from_bytes
from riser.records.standing import CORRECTION, Event, corrected, event_of
from riser.records.tables import CONTENTS, LINES, octets_of
from riser.records.times import is_server_time

LINE_BYTES_MAX = 1_000_000
_AT_ONCE = 500


def append_in(connection: Connection, entries: Sequence[Entry], time: str) -> list[Line]:
    """The lines of the entries: those sent before as they stand, the others added after the last line.

    Raises EntryKeyUsed or WrongEntry; the caller then rolls back, so that all entries go in or none.
    """
    if not is_server_time(time):
        raise RecordError(f"the clock gave {time!r}; a server time is UTC, such as 2031-05-04T09:30:00.125Z")
    sequence, previous = last_line(connection)
    bodies = _bodies_by_key(connection, [entry.entry_key for entry in entries])
    lines, rows = [], []
    for entry in entries:
        body = bodies.get(entry.entry_key)
        if body is None:
            _check_against_lines(connection, entry)
            sequence += 1
            body = _new_body(entry, sequence, time, previous)
            previous = hash_of(body)
            bodies[entry.entry_key] = body
            rows.append(_row(entry, sequence, body, previous))
        elif not is_same_content(entry, body):
            line = line_from_bytes(body)
            raise EntryKeyUsed(
                f"the entry key {entry.entry_key} was used for line {line.sequence} ({line.kind}, "
                f"{line.about}), which says something else. Send the new entry with a new key."
            )
        lines.append(line_from_bytes(body))
    if rows:
        connection.execute(insert(LINES), rows)
    return lines


def last_line(connection: Connection) -> tuple[int, str]:
    """Sequence and hash of the last line; (0, zeros) where there is none."""
    query = select(LINES.c.sequence, LINES.c.hash).order_by(LINES.c.sequence.desc()).limit(1)
    row = connection.execute(query).one_or_none()
    return (row.sequence, row.hash) if row else (0, NO_LINE)


def _bodies_by_key(connection: Connection, keys: Sequence[str]) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for start in range(0, len(keys), _AT_ONCE):
        some = keys[start : start + _AT_ONCE]
        query = select(LINES.c.entry_key, LINES.c.body).where(LINES.c.entry_key.in_(some))
        found.update((row.entry_key, octets_of(row.body)) for row in connection.execute(query))
    return found


def _new_body(entry: Entry, sequence: int, time: str, previous: str) -> bytes:
    body = line_bytes(entry, sequence, time, previous)
    if len(body) > LINE_BYTES_MAX:
        raise WrongEntry(
            f"{entry.kind}: {len(body)} bytes; a line may have {LINE_BYTES_MAX}. "
            "Put the rest in an attachment."
        )
    return body


def _row(entry: Entry, sequence: int, body: bytes, digest: str) -> dict[str, object]:
    return {
        "sequence": sequence,
        "entry_key": entry.entry_key,
        "about": entry.about,
        "replaces": entry.replaces,
        "body": body,
        "hash": digest,
    }


def _check_against_lines(connection: Connection, entry: Entry) -> None:
    for content in contents_named(entry.kind, entry.data):
        if connection.scalar(select(CONTENTS.c.hash).where(CONTENTS.c.hash == content)) is None:
            raise WrongEntry(f"{entry.kind}: the content {content} is not stored yet. Store it first.")
    if entry.replaces is not None:
        _check_replacement(connection, entry, entry.replaces)


def _check_replacement(connection: Connection, entry: Entry, replaces: int) -> None:
    query = select(LINES.c.sequence).where(LINES.c.replaces == replaces)
    later = connection.scalar(query)
    if later is not None:
        raise WrongEntry(f"line {replaces} was already replaced by line {later}. Replace line {later}.")
    event = _event_standing_at(connection, replaces)
    kind = KINDS[event.kind]
    if not kind.may_be_replaced:
        raise WrongEntry(f"line {replaces} is a {kind.name}; that is never replaced. Add a new one.")
    if entry.kind == CORRECTION:
        if entry.about != event.about:
            raise WrongEntry(f"line {replaces} is about {event.about!r}. Give the correction the same about.")
        check_data(kind, {**event.data, **entry.data.get("fields", {})})
    elif entry.kind != event.kind:
        raise WrongEntry(
            f"line {replaces} is a line of kind {event.kind!r}; a line of kind {entry.kind!r} cannot stand "
            f"for it. Use the kind {event.kind!r}, or a correction."
        )


def _event_standing_at(connection: Connection, sequence: int) -> Event:
    """What the line says with all earlier corrections of it."""
    corrections: list[Line] = []
    line = _line_at(connection, sequence)
    while line.kind == CORRECTION and line.replaces is not None:
        corrections.append(line)
        line = _line_at(connection, line.replaces)
    event = event_of(line, line.sequence)
    for correction in reversed(corrections):
        event = corrected(event, correction)
    return event


def _line_at(connection: Connection, sequence: int) -> Line:
    row: Row[Any] | None = connection.execute(
        select(LINES.c.body).where(LINES.c.sequence == sequence)
    ).one_or_none()
    if row is None:
        raise WrongEntry(f"there is no line {sequence} to replace. Give the number of a line in the records.")
    return line_from_bytes(octets_of(row.body))
