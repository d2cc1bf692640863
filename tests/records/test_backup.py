# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import hashlib
import random
import sqlite3
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from riser.errors import RecordError
from riser.records import Entry, Store, back_up, latest_mark, move, open_store, restore, utc_now, verify
from riser.records.backup import sum_file
from riser.records.errors import NoRecords, NotWhole


def test_a_backup_is_one_file_with_its_sum_beside_it(filled: Store, tmp_path: Path) -> None:
    backup = back_up(filled, tmp_path / "b.sqlite")
    assert sum_file(backup).read_text(encoding="utf-8") == (
        f"{hashlib.sha256(backup.read_bytes()).hexdigest()}  b.sqlite\n"
    )
    others = {"signing.key", "job"}
    assert {file.name for file in tmp_path.iterdir()} - others == {"b.sqlite", "b.sqlite.sha256"}
    with pytest.raises(RecordError, match="there is a file already"):
        back_up(filled, backup)


def test_a_restored_backup_holds_the_same_lines_contents_and_mark(
    filled: Store, key: Path, tmp_path: Path, clock: Callable[[], str]
) -> None:
    mark = latest_mark(filled, key, utc_now)
    backup = back_up(filled, tmp_path / "b.sqlite")
    verification = restore(backup, tmp_path / "again.sqlite", clock)
    assert verification.is_whole
    with open_store(tmp_path / "again.sqlite", clock=clock) as again:
        assert list(again.rows()) == list(filled.rows())
        assert again.content_hashes() == filled.content_hashes()
        assert verify(again, [mark]).is_whole
        assert again.append([Entry("opened", "C1", "F. Foreman")])[0].sequence == mark.sequence + 1


def test_a_backup_goes_back_into_either_database(
    filled: Store, new_schema: Callable[[], str], tmp_path: Path, clock: Callable[[], str]
) -> None:
    backup = back_up(filled, tmp_path / "b.sqlite")
    for target in (new_schema(), tmp_path / "again.sqlite"):
        assert restore(backup, target, clock).latest_hash == filled.latest()[1]


def test_a_backup_under_load_is_complete_up_to_its_start(store: Store, tmp_path: Path) -> None:
    stop = threading.Event()
    written: list[int] = []

    def write() -> None:
        while not stop.is_set():
            digest = store.put_content(str(len(written)).encode())
            written.append(store.append([Entry("photo", "C1", "F", data={"content": digest})])[0].sequence)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        while len(written) < 20 and writer.is_alive():
            time.sleep(0.01)
        for number in range(3):
            acknowledged = written[-1]
            with open_store(back_up(store, tmp_path / f"b{number}.sqlite")) as backup:
                assert verify(backup).is_whole
                assert backup.latest()[0] >= acknowledged
    finally:
        stop.set()
        writer.join()
    assert verify(store).is_whole


def test_a_backup_holds_what_is_still_in_the_write_ahead_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from riser.records import connection as connections

    monkeypatch.setattr(connections, "library_version", lambda: (3, 51, 3))
    with open_store(tmp_path, clock=utc_now) as store:
        store.append([Entry("made", f"C{n}", "F") for n in range(200)])
        assert (tmp_path / "records.sqlite-wal").stat().st_size > 0
        backup = back_up(store, tmp_path / "b.sqlite")
        with open_store(backup) as copy:
            assert copy.latest() == store.latest()
        assert not connections.is_write_ahead(backup)


def test_a_changed_or_cut_off_backup_is_refused(
    filled: Store, tmp_path: Path, clock: Callable[[], str]
) -> None:
    backup = back_up(filled, tmp_path / "b.sqlite")
    whole, digest = backup.read_bytes(), sum_file(backup).read_bytes()
    chance = random.Random(7)
    spoiled = [(_flipped(whole, chance), digest) for _ in range(40)]
    spoiled += [(whole, _flipped(digest[:66], chance) + digest[66:]) for _ in range(20)]
    spoiled += [(whole[: chance.randrange(len(whole))], digest) for _ in range(10)]
    spoiled += [(b"", digest), (whole, b""), (whole + b"\0", digest)]
    target = tmp_path / "again.sqlite"
    for content, sums in spoiled:
        backup.write_bytes(content)
        sum_file(backup).write_bytes(sums)
        with pytest.raises(RecordError, match="was changed or cut off"):
            restore(backup, target, clock)
        assert not target.exists()
    sum_file(backup).unlink()
    with pytest.raises(NoRecords, match=r"with its \.sha256 file"):
        restore(backup, target, clock)


def _flipped(content: bytes, chance: random.Random) -> bytes:
    at = chance.randrange(len(content))
    return content[:at] + bytes([content[at] ^ (1 << chance.randrange(8))]) + content[at + 1 :]


def test_a_backup_whose_lines_are_not_whole_is_refused_with_its_sum_right(
    filled: Store, tmp_path: Path, clock: Callable[[], str]
) -> None:
    backup = back_up(filled, tmp_path / "b.sqlite")
    connection = sqlite3.connect(backup)
    connection.executescript("DROP TRIGGER lines_never_removed; DELETE FROM lines WHERE sequence = 12")
    connection.executescript("DROP TRIGGER contents_never_removed; DELETE FROM contents")
    connection.close()
    sum_file(backup).write_text(
        f"{hashlib.sha256(backup.read_bytes()).hexdigest()}  b.sqlite\n", encoding="utf-8"
    )
    with pytest.raises(NotWhole, match="the backup is not whole") as refused:
        restore(backup, tmp_path / "again.sqlite", clock)
    assert {number for number, _ in refused.value.faults} == {0, 2, 9}


def test_a_place_that_holds_lines_is_not_written_over(
    filled: Store, tmp_path: Path, clock: Callable[[], str]
) -> None:
    backup = back_up(filled, tmp_path / "b.sqlite")
    with open_store(tmp_path / "other.sqlite", clock=clock) as other:
        other.append([Entry("made", "C1", "F")])
    with pytest.raises(RecordError, match="holds lines already"):
        restore(backup, tmp_path / "other.sqlite", clock)


def test_moving_to_postgresql_and_back_keeps_the_latest_mark(
    filled: Store, key: Path, postgresql_place: str, tmp_path: Path, clock: Callable[[], str]
) -> None:
    mark = latest_mark(filled, key, utc_now)
    there = tmp_path / "there.sqlite" if filled.path is None else postgresql_place
    with open_store(there, clock=clock) as second, open_store(tmp_path / "back.sqlite", clock=clock) as third:
        move(filled, second)
        second.append([Entry("opened", "C1", "F. Foreman")])
        move(second, third)
        assert [row.hash for row in third.rows()][:-1] == [row.hash for row in filled.rows()]
        for store in (second, third):
            verification = verify(store, [mark])
            assert verification.is_whole
        assert third.latest() == second.latest()
        with pytest.raises(RecordError, match="holds lines already"):
            move(filled, second)


def test_records_that_are_not_whole_are_not_moved(tmp_path: Path, clock: Callable[[], str]) -> None:
    (tmp_path / "job").mkdir()
    with open_store(tmp_path / "job", clock=clock) as store:
        store.append([Entry("made", "C1", "F"), Entry("made", "C2", "F")])
    connection = sqlite3.connect(tmp_path / "job" / "records.sqlite")
    connection.executescript("DROP TRIGGER lines_never_removed; DELETE FROM lines WHERE sequence = 1")
    connection.close()
    with (
        open_store(tmp_path / "job", clock=clock) as store,
        open_store(tmp_path / "new.sqlite", clock=clock) as new,
    ):
        with pytest.raises(NotWhole, match="not moved"):
            move(store, new)
        assert new.latest()[0] == 0


def test_a_store_opened_for_reading_is_not_moved(filled: Store, place: str | Path, tmp_path: Path) -> None:
    with (
        open_store(place) as reader,
        open_store(tmp_path / "new.sqlite", clock=utc_now) as new,
        pytest.raises(RecordError, match="opened for reading only"),
    ):
        move(reader, new)
