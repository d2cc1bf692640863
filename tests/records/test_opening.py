# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from sqlalchemy import text

import riser.records
from riser.errors import RecordError
from riser.records import Entry, open_store, utc_now
from riser.records.connection import insist_durable
from riser.records.errors import NoRecords, UnknownRecords
from riser.records.times import is_server_time

MADE = Entry("made", "C1", "F. Foreman")


def test_a_path_a_folder_and_an_address_name_the_same_file(tmp_path: Path) -> None:
    with open_store(tmp_path, clock=utc_now) as store:
        line = store.append([MADE])[0]
    for where in (str(tmp_path), tmp_path / "records.sqlite", f"sqlite:///{tmp_path}/records.sqlite"):
        with open_store(where) as reader:
            assert reader.line(1) == line
    assert is_server_time(line.time)


def test_odd_characters_in_a_path_do_not_matter(tmp_path: Path) -> None:
    folder = tmp_path / "job #7 100% ? ä"
    folder.mkdir()
    with open_store(folder, clock=utc_now) as store:
        store.append([MADE])
    with open_store(folder) as reader:
        assert reader.latest()[0] == 1
    assert sorted(file.name for file in folder.iterdir()) == ["records.sqlite", "records.sqlite.lock"]


def test_reading_makes_no_file(tmp_path: Path) -> None:
    with pytest.raises(NoRecords, match="there are no records here"):
        open_store(tmp_path)
    with pytest.raises(NoRecords):
        open_store(tmp_path / "nowhere" / "records.sqlite", clock=utc_now)
    assert list(tmp_path.iterdir()) == []


def test_an_empty_schema_has_no_records_to_read(postgresql_place: str) -> None:
    with pytest.raises(NoRecords):
        open_store(postgresql_place)


@pytest.mark.parametrize("address", ["mysql://host/db", "not an address://", "://"])
def test_other_databases_are_refused(address: str) -> None:
    with pytest.raises(RecordError):
        open_store(address, clock=utc_now)


def test_a_file_that_is_something_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    note = tmp_path / "records.sqlite"
    note.write_bytes(b"shopping list " * 100)
    for clock in (None, utc_now):
        with pytest.raises(UnknownRecords, match="damaged, or not a records file"):
            open_store(note, clock=clock)
    assert note.read_bytes() == b"shopping list " * 100


def test_a_database_of_somebody_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    other = sqlite3.connect(tmp_path / "records.sqlite")
    other.execute("CREATE TABLE songs (title TEXT)")
    other.close()
    with pytest.raises(UnknownRecords, match=r"holds other tables \(songs\)"):
        open_store(tmp_path, clock=utc_now)


def test_records_of_a_newer_riser_are_refused(place: str | Path) -> None:
    with open_store(place, clock=utc_now) as store, store.writing() as connection:
        connection.execute(text("INSERT INTO records_version VALUES (99, 'from the future')"))
    for clock in (None, utc_now):
        with pytest.raises(UnknownRecords, match="version 99"):
            open_store(place, clock=clock)


def test_a_database_that_cannot_be_reached_is_said_plainly(tmp_path: Path) -> None:
    pytest.importorskip("psycopg")
    with pytest.raises(RecordError, match="out of reach"):
        open_store(f"postgresql:///postgres?host={tmp_path}", clock=utc_now)


@pytest.mark.parametrize(("fsync", "commit"), [("off", "on"), ("on", "off"), ("on", "local")])
def test_a_server_that_does_not_sync_is_refused(fsync: str, commit: str) -> None:
    insist_durable("on", "on")
    with pytest.raises(RecordError, match="could be lost in a power cut"):
        insist_durable(fsync, commit)


def test_a_connection_that_asks_for_less_durability_gets_it_all(postgresql_place: str) -> None:
    weak = f"{postgresql_place}%20-csynchronous_commit%3Doff"
    with open_store(weak, clock=utc_now) as store, store.reading() as connection:
        assert connection.execute(text("SHOW synchronous_commit")).scalar_one() == "on"


def test_a_missing_driver_is_said_with_its_remedy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    with pytest.raises(RecordError, match=r"need the package psycopg. Install riser\[postgres\]"):
        open_store("postgresql:///postgres", clock=utc_now)


def test_passwords_do_not_show_in_messages(postgresql_place: str) -> None:
    with open_store(postgresql_place.replace(":///", "://:secretword@/"), clock=utc_now) as store:
        assert "secretword" not in store.where


def test_the_public_names_are_the_listed_ones() -> None:
    assert set(riser.records.__all__) == set(riser.records._MODULE_OF)
    for name in riser.records.__all__:
        assert getattr(riser.records, name).__class__.__name__ != "module", name
    with pytest.raises(AttributeError):
        riser.records.nothing  # noqa: B018


def test_reading_a_state_needs_no_database_library() -> None:
    program = (
        "import sys; from riser.records import Entry, Line, State, state_of; state_of([]);"
        "heavy = {'sqlalchemy', 'cryptography', 'pandas', 'psycopg'} & set(sys.modules);"
        "sys.exit(str(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", program], check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
