# SPDX-License-Identifier: Apache-2.0
"""Attacks by somebody who can write the store: what is found, and what only a held mark finds."""

from __future__ import annotations

import copy
import json
import re
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, create_engine, text

from riser.records import (
    Entry,
    Mark,
    Store,
    change_key,
    latest_mark,
    make_key,
    mark_entry,
    open_store,
    utc_now,
    verify,
)
from riser.records.keys import load_key, public_key_of
from riser.records.line import NO_LINE, canonical_bytes, hash_of
from riser.records.marks import signed_text

EVIDENCE = Path(__file__).parents[2] / "docs" / "evidence.md"


@dataclass
class Held:
    """All that stands in a store, open to be changed by whoever can write it."""

    lines: list[dict[str, Any]]
    contents: dict[str, bytes]

    def body(self, number: int) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(self.lines[number - 1]["body"])
        return found

    def write(self, number: int, body: dict[str, Any]) -> None:
        """Another body for a line, with the hash left as it was."""
        self.lines[number - 1]["body"] = canonical_bytes(body)

    def rehash(self, number: int) -> None:
        self.lines[number - 1]["hash"] = hash_of(self.lines[number - 1]["body"])

    def rechain(self) -> None:
        """Number, chain and hash all lines anew, as careful as riser itself."""
        previous = NO_LINE
        for number, row in enumerate(self.lines, start=1):
            body = json.loads(row["body"])
            body |= {"sequence": number, "previous": previous}
            row |= {"sequence": number, "body": canonical_bytes(body), "hash": hash_of(canonical_bytes(body))}
            row |= {name: body[name] for name in ("entry_key", "about", "replaces")}
            previous = row["hash"]


def alter_a_field(held: Held) -> None:
    body = held.body(6)
    held.write(6, {**body, "author": "S. Somebody"})


def alter_a_field_and_its_hash(held: Held) -> None:
    alter_a_field(held)
    held.rehash(6)


def alter_a_field_and_rechain(held: Held) -> None:
    alter_a_field(held)
    held.rechain()


def alter_a_time_and_rechain(held: Held) -> None:
    held.write(6, {**held.body(6), "time": "2031-05-04T09:00:05.500Z"})
    held.rechain()


def alter_a_hash(held: Held) -> None:
    held.lines[5]["hash"] = "00" * 32


def drop_the_last_lines(held: Held) -> None:
    del held.lines[-3:]


def remove_all_lines(held: Held) -> None:
    held.lines.clear()


def remove_a_line(held: Held) -> None:
    del held.lines[5]


def remove_a_line_and_renumber(held: Held) -> None:
    del held.lines[5]
    for number, row in enumerate(held.lines, start=1):
        row["sequence"] = number


def remove_a_line_and_rechain(held: Held) -> None:
    held.lines = [row for row in held.lines if json.loads(row["body"])["about"] != "C4"]
    for row in held.lines:
        body = json.loads(row["body"])
        if body["replaces"] is not None:
            row["body"] = canonical_bytes({**body, "replaces": body["replaces"] - 1})
    held.rechain()


def remove_a_correction_and_rechain(held: Held) -> None:
    held.lines = [row for row in held.lines if json.loads(row["body"])["kind"] != "correction"]
    held.rechain()


def exchange_two_lines(held: Held) -> None:
    held.lines[4], held.lines[5] = held.lines[5], held.lines[4]
    held.lines[4]["sequence"], held.lines[5]["sequence"] = 5, 6


def exchange_two_lines_and_rechain(held: Held) -> None:
    exchange_two_lines(held)
    held.rechain()


def put_a_line_in_and_rechain(held: Held) -> None:
    new = copy.deepcopy(held.lines[9])
    body = {**json.loads(new["body"]), "entry_key": "never sent", "about": "C2"}
    new["body"] = canonical_bytes(body)
    held.lines.insert(10, new)
    held.rechain()


def put_a_line_twice(held: Held) -> None:
    new = copy.deepcopy(held.lines[-1])
    new |= {"sequence": len(held.lines) + 1, "entry_key": "again"}
    held.lines.append(new)


def refile_a_line(held: Held) -> None:
    held.lines[5]["about"] = "C9"


def refile_a_correction(held: Held) -> None:
    next(row for row in held.lines if row["replaces"])["replaces"] = 7


def exchange_two_contents(held: Held) -> None:
    (one, first), (two, second) = held.contents.items()
    held.contents = {one: second, two: first}


def remove_a_content(held: Held) -> None:
    held.contents.popitem()


def alter_a_content(held: Held) -> None:
    name = next(iter(held.contents))
    held.contents[name] += b"!"


def alter_a_content_and_rechain(held: Held) -> None:
    for number, row in enumerate(held.lines, start=1):
        if json.loads(row["body"])["kind"] == "photo":
            new = b"another picture"
            del held.contents[held.body(number)["data"]["content"]]
            held.contents[hash_of(new)] = new
            held.write(number, {**held.body(number), "data": {"content": hash_of(new)}})
    held.rechain()


def forge_a_mark(held: Held) -> None:
    alter_a_field_and_rechain(held)
    data = {
        "marked_sequence": 6,
        "marked_hash": held.lines[5]["hash"],
        "marked_time": "2031-05-04T09:00:00Z",
        "public_key": held.body(1)["data"]["public_key"],
        "signature": "ab" * 64,
    }
    _add(held, "mark", data)


def slip_in_a_key(held: Held) -> None:
    current = held.body(1)["data"]["public_key"]
    _add(held, "key", {"public_key": "cd" * 32, "previous_key": current, "endorsement": "ab" * 64})


def begin_with_another_key(held: Held) -> None:
    held.write(1, {**held.body(1), "data": {"public_key": "cd" * 32}})
    held.rechain()


def _add(held: Held, kind: str, data: dict[str, Any]) -> None:
    body = {**held.body(len(held.lines)), "kind": kind, "data": data, "about": "", "replaces": None}
    row = {"body": canonical_bytes({**body, "entry_key": f"forged {kind}"})}
    held.lines.append(row)
    held.rechain()


# Attack -> (what it is called in docs/evidence.md, whether the records alone show it).
ATTACKS: dict[Callable[[Held], None], tuple[str, bool]] = {
    alter_a_field: ("a field altered", True),
    alter_a_field_and_its_hash: ("a field altered, and that line's hash recomputed", True),
    alter_a_field_and_rechain: ("a field altered, and the whole chain recomputed", False),
    alter_a_time_and_rechain: ("a time altered, and the whole chain recomputed", False),
    alter_a_hash: ("a hash altered", True),
    drop_the_last_lines: ("the last lines dropped (or an older copy put back)", False),
    remove_all_lines: ("all lines removed", False),
    remove_a_line: ("a line removed", True),
    remove_a_line_and_renumber: ("a line removed, and the others renumbered", True),
    remove_a_line_and_rechain: ("a line removed, and the whole chain recomputed", False),
    remove_a_correction_and_rechain: ("a correction removed, and the whole chain recomputed", False),
    exchange_two_lines: ("two lines exchanged", True),
    exchange_two_lines_and_rechain: ("two lines exchanged, and the whole chain recomputed", False),
    put_a_line_in_and_rechain: ("a line put in, and the whole chain recomputed", False),
    put_a_line_twice: ("a line put in a second time", True),
    refile_a_line: ("a line filed under another thing", True),
    refile_a_correction: ("a correction filed under another line", True),
    exchange_two_contents: ("two stored contents exchanged", True),
    remove_a_content: ("a stored content removed", True),
    alter_a_content: ("a stored content altered", True),
    alter_a_content_and_rechain: ("a stored content altered, and the whole chain recomputed", False),
    forge_a_mark: ("a mark forged inside the records", True),
    slip_in_a_key: ("a signing key slipped in", True),
    begin_with_another_key: ("the first signing key exchanged, and the whole chain recomputed", False),
}


@pytest.fixture
def given_out(filled: Store, key: Path) -> Mark:
    return latest_mark(filled, key, utc_now)


@pytest.mark.parametrize("attack", ATTACKS, ids=lambda attack: attack.__name__)
def test_every_attack_is_found_with_a_held_mark_and_some_without(
    attack: Callable[[Held], None], filled: Store, place: str | Path, given_out: Mark
) -> None:
    assert verify(filled, [given_out]).faults == ()
    filled.close()
    attack_store(place, attack)
    with open_store(place) as store:
        assert not verify(store, [given_out]).is_whole
        assert verify(store).is_whole is not ATTACKS[attack][1]


@pytest.mark.parametrize(
    ("attack", "lines"),
    [
        (alter_a_field, {6}),
        (alter_a_field_and_its_hash, {7}),
        (alter_a_hash, {6, 7}),
        (remove_a_line, {6, 7}),
        (exchange_two_lines, {5, 6, 7}),
        (refile_a_line, {6}),
        (put_a_line_twice, {13}),
        (slip_in_a_key, {13}),
        (forge_a_mark, {13}),
    ],
)
def test_a_fault_is_said_of_its_line_or_of_the_one_after(
    attack: Callable[[Held], None], lines: set[int], filled: Store, place: str | Path
) -> None:
    filled.close()
    attack_store(place, attack)
    with open_store(place) as store:
        assert {fault.sequence for fault in verify(store).faults} == lines


def test_the_page_on_evidence_lists_every_attack_and_says_the_same() -> None:
    page = EVIDENCE.read_text(encoding="utf-8")
    for name, alone in ATTACKS.values():
        row = f"| {name} | {'found' if alone else 'not found'} | found |"
        assert row in page, row
    rows = re.findall(r"\| (?:not )?found \| found \|", page)
    assert len(rows) == len(ATTACKS)


def test_a_mark_that_was_recorded_shows_a_rewritten_chain_even_when_nobody_holds_one(
    filled: Store, place: str | Path, given_out: Mark
) -> None:
    filled.append([mark_entry(given_out, author="Q. Lead", given_to="certificate 1")])
    filled.close()
    attack_store(place, alter_a_field_and_rechain)
    with open_store(place) as store:
        faults = verify(store).faults
    assert [fault.sequence for fault in faults] == [13]
    assert "was rewritten" in faults[0].what


def test_with_the_key_stolen_an_older_held_mark_still_shows_what_was_changed_before_it(
    filled: Store, place: str | Path, key: Path, given_out: Mark
) -> None:
    filled.append([Entry("opened", "C1", "F. Foreman"), Entry("covered", "C1", "F. Foreman")])
    filled.close()
    attack_store(place, alter_a_field_and_rechain)
    with open_store(place) as store:
        sequence, digest = store.latest()
        signature = load_key(key).sign(signed_text(sequence, digest, "2031-05-05T09:00:00Z")).hex()
        signed_by_thief = Mark(sequence, digest, "2031-05-05T09:00:00Z", given_out.public_key, signature)
        assert verify(store, [signed_by_thief]).is_whole
        assert not verify(store, [signed_by_thief, given_out]).is_whole


def test_with_the_key_stolen_a_change_after_the_last_held_mark_is_not_found(
    filled: Store, place: str | Path, given_out: Mark
) -> None:
    """Stated in docs/evidence.md: this is what the records do not show."""
    filled.append([Entry("opened", "C1", "F. Foreman"), Entry("covered", "C1", "F. Foreman")])
    filled.close()

    def alter_the_newest(held: Held) -> None:
        held.write(14, {**held.body(14), "author": "S. Somebody"})
        held.rechain()

    attack_store(place, alter_the_newest)
    with open_store(place) as store:
        assert verify(store, [given_out]).is_whole


def test_a_key_declared_lost_is_repeated_as_a_note_every_time(
    filled: Store, place: str | Path, tmp_path: Path
) -> None:
    make_key(tmp_path / "second.key")
    change_key(filled, tmp_path / "second.key", None, author="Q. Lead", reason="laptop stolen")
    assert verify(filled).is_whole
    assert [note.what for note in verify(filled).notes] == [
        "the signing key was changed without the one before"
    ]
    first = public_key_of(load_key(tmp_path / "signing.key"))
    assert verify(filled, public_key=first).is_whole
    assert not verify(filled, public_key="cd" * 32).is_whole


SQLITE_STRUCTURE = [
    "DROP TRIGGER lines_never_changed",
    "DROP TRIGGER lines_never_removed; "
    "CREATE TRIGGER lines_never_removed BEFORE DELETE ON lines BEGIN SELECT 1; END",
    "DROP INDEX lines_by_about",
    "CREATE TRIGGER more AFTER INSERT ON lines BEGIN DELETE FROM contents; END",
    "CREATE TABLE notes (text TEXT)",
    "CREATE VIEW everything AS SELECT * FROM lines",
    "ALTER TABLE lines ADD COLUMN more TEXT",
    "DELETE FROM records_version WHERE version = 0",
    "UPDATE records_version SET name = 'other' WHERE version = 1",
    "ALTER TABLE lines RENAME TO others; CREATE VIEW lines AS SELECT * FROM others WHERE about <> 'C1'",
    "DROP TABLE contents",
]


@pytest.mark.parametrize("script", SQLITE_STRUCTURE)
def test_a_changed_table_guard_or_index_is_found_in_sqlite(script: str, tmp_path: Path) -> None:
    with open_store(tmp_path, clock=utc_now) as store:
        store.append([Entry("made", "C1", "F. Foreman")])
    connection = sqlite3.connect(tmp_path / "records.sqlite")
    connection.executescript(script)
    connection.close()
    with open_store(tmp_path) as store:
        assert any(fault.sequence == 0 for fault in verify(store).faults)


POSTGRESQL_STRUCTURE = [
    "DROP TRIGGER lines_never_changed ON lines",
    "ALTER TABLE lines DISABLE TRIGGER lines_never_changed",
    "ALTER TABLE contents DISABLE TRIGGER ALL",
    "CREATE OR REPLACE FUNCTION records_guard() RETURNS trigger LANGUAGE plpgsql AS 'BEGIN RETURN NEW; END'",
    "DROP INDEX lines_by_about",
    "CREATE RULE quiet AS ON DELETE TO contents DO INSTEAD NOTHING",
    "CREATE TABLE notes (text TEXT)",
    "ALTER TABLE lines SET UNLOGGED",
    "ALTER TABLE lines DROP CONSTRAINT lines_entry_key_key",
    "ALTER TABLE lines DROP CONSTRAINT lines_check",
    "DELETE FROM records_version WHERE version = 0",
    "ALTER TABLE lines RENAME TO others; CREATE VIEW lines AS SELECT * FROM others WHERE about <> 'C1'",
]


@pytest.mark.parametrize("script", POSTGRESQL_STRUCTURE)
def test_a_changed_table_guard_or_rule_is_found_in_postgresql(script: str, postgresql_place: str) -> None:
    with open_store(postgresql_place, clock=utc_now) as store:
        store.append([Entry("made", "C1", "F. Foreman")])
        assert verify(store).is_whole
    with raw(postgresql_place) as connection:
        connection.exec_driver_sql(script)
    with open_store(postgresql_place) as store:
        assert any(fault.sequence == 0 for fault in verify(store).faults)


def attack_store(place: str | Path, attack: Callable[[Held], None]) -> None:
    """Read all, change it, and write it back with the guards put up again as they were."""
    if isinstance(place, Path):
        engine = create_engine(f"sqlite:///{place}")
        names = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"
        with engine.begin() as connection:
            guards = connection.exec_driver_sql(names).all()
            _run(connection, [f"DROP TRIGGER {name}" for name, _ in guards])
            _rewrite(connection, attack)
            _run(connection, [sql for _, sql in guards])
        engine.dispose()
        return
    with raw(place) as connection:
        _run(connection, [f"ALTER TABLE {name} DISABLE TRIGGER ALL" for name in ("lines", "contents")])
        _rewrite(connection, attack)
        _run(connection, [f"ALTER TABLE {name} ENABLE TRIGGER ALL" for name in ("lines", "contents")])


def _rewrite(connection: Connection, attack: Callable[[Held], None]) -> None:
    rows = connection.execute(text("SELECT * FROM lines ORDER BY sequence")).mappings()
    contents = connection.execute(text("SELECT * FROM contents ORDER BY hash")).all()
    held = Held([dict(row) for row in rows], {name: bytes(content) for name, content in contents})
    attack(held)
    _run(connection, ["DELETE FROM lines", "DELETE FROM contents"])
    for row in held.lines:
        connection.execute(
            text("INSERT INTO lines VALUES (:sequence, :entry_key, :about, :replaces, :body, :hash)"), row
        )
    for name, content in held.contents.items():
        connection.execute(
            text("INSERT INTO contents VALUES (:name, :content)"), {"name": name, "content": content}
        )


def _run(connection: Connection, statements: Iterable[str]) -> None:
    for statement in statements:
        connection.exec_driver_sql(statement)


@contextmanager
def raw(place: str) -> Iterator[Connection]:
    """A connection of somebody who has the rights to everything."""
    engine = create_engine(place.replace("postgresql://", "postgresql+psycopg://"))
    with engine.begin() as connection:
        yield connection
    engine.dispose()
