# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import create_engine, inspect, text

from riser.errors import RecordError
from riser.records import Entry, Store, open_store, restore, utc_now, verify
from riser.records import migrate as migrations
from riser.records.migrate import MIGRATIONS, NEWEST, bring_up_to_date, version_of


@pytest.fixture
def old(place: str | Path, monkeypatch: pytest.MonkeyPatch) -> tuple[int, str]:
    """Records with the tables of version 0, as the first riser wrote them; their last line."""
    from riser.records import opening

    with monkeypatch.context() as patch:
        patch.setattr(opening, "NEWEST", 0)
        patch.setattr(opening, "bring_up_to_date", lambda connection: bring_up_to_date(connection, upto=0))
        with open_store(place, clock=utc_now) as store:
            picture = store.put_content(b"a picture")
            store.append([Entry("made", f"C{n}", "F. Foreman") for n in range(50)])
            store.append([Entry("photo", "C1", "F. Foreman", data={"content": picture})])
            with store.reading() as connection:
                assert version_of(connection) == 0
                assert inspect(connection).get_indexes("lines") == [] or "postgresql" in store.where
            return store.latest()


def test_versions_are_numbered_from_zero_without_a_gap() -> None:
    assert [step.version for step in MIGRATIONS] == list(range(NEWEST + 1))


def test_old_records_are_read_as_they_are(old: tuple[int, str], place: str | Path) -> None:
    with open_store(place) as reader:
        assert reader.latest() == old
        assert verify(reader).is_whole
        with reader.reading() as connection:
            assert version_of(connection) == 0


def test_old_records_are_backed_up_brought_up_to_date_and_end_in_the_same_line(
    old: tuple[int, str], place: str | Path, tmp_path: Path
) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    with open_store(place, clock=utc_now, backups=folder) as store:
        verification = verify(store)
        assert verification.is_whole
        assert (verification.latest_sequence, verification.latest_hash) == old
        with store.reading() as connection:
            assert version_of(connection) == NEWEST
            assert "lines_by_about" in {index["name"] for index in inspect(connection).get_indexes("lines")}
        assert [line.kind for line in store.lines_about("C1")] == ["made", "photo"]
        assert store.append([Entry("covered", "C1", "F. Foreman")])[0].sequence == old[0] + 1
    assert sorted(file.name for file in folder.iterdir()) == [
        "records.sqlite.version-0",
        "records.sqlite.version-0.sha256",
    ]
    verification = restore(folder / "records.sqlite.version-0", tmp_path / "restored.sqlite", utc_now)
    assert (verification.latest_sequence, verification.latest_hash) == old


def test_the_backup_of_a_file_goes_beside_it_and_overwrites_none(
    old: tuple[int, str], place: str | Path
) -> None:
    if not isinstance(place, Path):
        with pytest.raises(RecordError, match=r"Say in which folder to put it"):
            open_store(place, clock=utc_now)
        return
    (place.parent / "records.sqlite.version-0").write_bytes(b"an older one")
    open_store(place, clock=utc_now).close()
    assert (place.parent / "records.sqlite.version-0").read_bytes() == b"an older one"
    with open_store(place.parent / "records.sqlite.version-0-2") as backup:
        assert backup.latest() == old


def test_a_step_that_fails_leaves_everything_as_it_was(
    old: tuple[int, str], place: str | Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_dialect: str) -> list[str]:
        return ["CREATE TABLE more (x INTEGER)", "CREATE NONSENSE"]

    steps = (MIGRATIONS[0], migrations.Migration(1, "broken", broken))
    monkeypatch.setattr(migrations, "MIGRATIONS", steps)
    with pytest.raises(RecordError, match="the database refused"):
        open_store(place, clock=utc_now, backups=tmp_path)
    monkeypatch.undo()
    with open_store(place) as reader:
        assert reader.latest() == old
        assert verify(reader).is_whole


def test_a_step_that_would_touch_the_lines_is_refused(
    old: tuple[int, str], place: str | Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def touching(dialect: str) -> list[str]:
        off = (
            "DROP TRIGGER lines_never_removed"
            if dialect == "sqlite"
            else "ALTER TABLE lines DISABLE TRIGGER ALL"
        )
        return [off, "DELETE FROM lines WHERE sequence = 51"]

    steps = (MIGRATIONS[0], migrations.Migration(1, "touching", touching))
    monkeypatch.setattr(migrations, "MIGRATIONS", steps)
    with pytest.raises(RecordError, match="would change their last line; nothing was changed"):
        open_store(place, clock=utc_now, backups=tmp_path)
    monkeypatch.undo()
    with open_store(place) as reader:
        assert reader.latest() == old
        assert verify(reader).is_whole


def test_two_programs_may_open_a_new_database_at_once(
    postgresql_place: str, clock: Callable[[], str]
) -> None:
    import threading

    opened: list[Store] = []

    def open_it() -> None:
        opened.append(open_store(postgresql_place, clock=clock))

    threads = [threading.Thread(target=open_it) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(opened) == 4
    assert verify(opened[0]).is_whole
    for store in opened:
        store.close()


def test_a_schema_with_tables_of_the_same_names_is_refused(postgresql_place: str) -> None:
    engine = create_engine(postgresql_place.replace("postgresql:", "postgresql+psycopg:"))
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE lines (poem TEXT)"))
    engine.dispose()
    with pytest.raises(RecordError, match="holds other tables"):
        open_store(postgresql_place, clock=utc_now)
