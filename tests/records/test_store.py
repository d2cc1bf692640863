# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import re
import sqlite3
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

import riser.records
from riser.errors import RecordError
from riser.records import Entry, Line, Store, open_store, verify
from riser.records.errors import EntryKeyUsed, NoRecords, RecordsBusy, RecordsFull, WrongEntry
from riser.records.line import NO_LINE, canonical_bytes, hash_of

MADE = Entry("made", "C1", "F. Foreman", entry_key="made-1")


def test_lines_are_numbered_from_one_and_chained_by_the_hash_of_their_stored_bytes(store: Store) -> None:
    first, second = store.append([MADE, Entry("covered", "C1", "F. Foreman")])
    assert (first.sequence, second.sequence) == (1, 2)
    assert (first.previous, second.previous) == (NO_LINE, first.hash)
    assert store.latest() == (2, second.hash)
    for row, line in zip(store.rows(), (first, second), strict=True):
        assert row.hash == line.hash == hash_of(row.body)
        stored = {k: v for k, v in line.as_json().items() if k != "hash"}
        assert row.body == canonical_bytes({**stored, "form": 1})


def test_what_append_returns_is_what_is_read_back(store: Store) -> None:
    entry = Entry(
        "measured",
        "M1/S1",
        "S. Surveyor",
        "device",
        {"x_m": 1.0, "y_m": -0.0, "z_m": 12.345, "uncertainty_m": 0.002, "details": {"set": [1, None, "é"]}},
        "2031-05-04T17:00+08:00",
        revision=3,
        reason="first\nsurvey",
    )
    line = store.append([entry])[0]
    assert [line] == list(store.lines()) == store.lines_about("M1/S1") == [store.line(1)]
    assert (line.data["x_m"], line.data["details"]["set"]) == (1, [1, None, "é"])
    assert (line.author, line.author_known, line.device_time) == (
        "S. Surveyor",
        "device",
        "2031-05-04T17:00+08:00",
    )
    assert line.time == "2031-05-04T09:00:01.000Z"


def test_the_same_entry_sent_again_is_the_same_line(store: Store) -> None:
    line = store.append([MADE])[0]
    again = store.append([Entry("covered", "C1", "F. Foreman"), MADE, MADE])
    assert again[1] == again[2] == line == store.line_with_key("made-1")
    assert store.latest()[0] == 2


def test_an_entry_sent_twice_at_once_is_one_line(store: Store) -> None:
    one, two = store.append([MADE, MADE])
    assert one == two
    assert store.latest()[0] == 1


def test_the_same_key_with_other_content_is_refused_and_adds_nothing(store: Store) -> None:
    store.append([MADE])
    with pytest.raises(EntryKeyUsed, match=r"used for line 1 \(made, C1\)"):
        store.append([Entry("opened", "C9", "F"), Entry("made", "C2", "F. Foreman", entry_key="made-1")])
    assert store.latest()[0] == 1


def test_entries_go_in_all_or_none(store: Store) -> None:
    with pytest.raises(WrongEntry):
        store.append([MADE, Entry("nonsense", "C1", "F. Foreman")])
    with pytest.raises(WrongEntry, match="half a character"):
        store.append([MADE, Entry("made", "C2", "F. Foreman", data={"note": "\ud800"})])
    assert store.latest() == (0, NO_LINE)
    assert store.append([MADE])[0].sequence == 1


def test_jobs_sent_together_fail_each_by_itself(store: Store) -> None:
    results = store.append_each([[MADE], [Entry("made", "C2", "")], [Entry("made", "C3", "F"), MADE]])
    assert [type(result) for result in results] == [list, WrongEntry, list]
    assert store.latest()[0] == 2
    assert verify(store).is_whole


def test_a_job_that_the_database_refuses_takes_no_other_with_it(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    from riser.records import appending

    true_last = appending.last_line
    answers = iter([False, True, False])

    def misled(connection: Connection) -> tuple[int, str]:
        sequence, digest = true_last(connection)
        return (sequence + 7 if next(answers) else sequence, digest)

    monkeypatch.setattr(appending, "last_line", misled)
    jobs = [[Entry("made", f"C{n}", "F. Foreman")] for n in range(3)]
    kept, refused, kept_too = store.append_each(jobs)
    assert isinstance(refused, RecordError)
    assert "only be added after the last one" in str(refused)
    assert [line.about for line in store.lines()] == ["C0", "C2"]
    assert [kept, kept_too] == [[line] for line in store.lines()]
    assert verify(store).is_whole


def test_a_full_disk_in_one_job_ends_all_jobs_sent_with_it(tmp_path: Path, clock: Callable[[], str]) -> None:
    with open_store(tmp_path, clock=clock) as store:
        store.append([MADE])
        _allow_pages(store, _pages(store) + 4)
        big = [Entry("reading", "T1", "F", data={"chart": "9" * 90_000})]
        with pytest.raises(RecordsFull):
            store.append_each([[Entry("made", "C2", "F")], big, [Entry("made", "C3", "F")]])
        assert store.latest()[0] == 1
        assert verify(store).is_whole


def test_the_write_lock_is_taken_before_anything_is_read(tmp_path: Path, clock: Callable[[], str]) -> None:
    with open_store(tmp_path, clock=clock) as store, store.writing() as connection:
        connection.execute(text("SELECT 1"))
        other = sqlite3.connect(tmp_path / "records.sqlite", timeout=0, isolation_level=None)
        try:
            with pytest.raises(sqlite3.OperationalError, match="locked"):
                other.execute("BEGIN IMMEDIATE")
        finally:
            other.close()


def test_any_exception_inside_an_append_leaves_the_store_usable(store: Store) -> None:
    class Broken(dict[str, object]):
        def items(self) -> object:  # type: ignore[override]
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        store.append([MADE, Entry("reading", "T1", "F", data=Broken(a=1))])
    with pytest.raises(ZeroDivisionError), store.writing():
        raise ZeroDivisionError
    assert store.latest() == (0, NO_LINE)
    assert store.append([MADE])[0].sequence == 1
    assert verify(store).is_whole


def test_a_clock_that_gives_no_server_time_writes_nothing(place: str | Path) -> None:
    with open_store(place, clock=lambda: "2031-05-04 11:00") as store:
        with pytest.raises(RecordError, match="a server time is UTC"):
            store.append([MADE])
        assert store.latest()[0] == 0


def test_a_line_that_is_too_long_is_refused(store: Store) -> None:
    with pytest.raises(WrongEntry, match="attachment"):
        store.append([Entry("reading", "T1", "C. Lead", data={"chart": "9" * 1_000_001})])


def test_a_replacement_must_fit_what_it_replaces(store: Store) -> None:
    store.append([MADE, Entry("placed", "M1", "F", data={"type_revision": "A"})])
    wrong = [
        (Entry("made", "C1", "F", replaces=9, reason="r"), "no line 9"),
        (Entry("covered", "C1", "F", replaces=1, reason="r"), "kind 'covered' cannot stand for it"),
        (Entry("correction", "C2", "F", data={"withdrawn": True}, replaces=1, reason="r"), "the same about"),
        (
            Entry("correction", "M1", "F", data={"fields": {"type_revision": 7}}, replaces=2, reason="r"),
            "type_revision is 7",
        ),
        (
            Entry("correction", "C1", "F", data={"fields": {"size": 7}}, replaces=1, reason="r"),
            "no field 'size'",
        ),
    ]
    for entry, says in wrong:
        with pytest.raises(WrongEntry, match=says):
            store.append([entry])
    assert store.latest()[0] == 2


def test_a_line_is_replaced_once_and_then_its_successor(store: Store) -> None:
    store.append([MADE])
    store.append([Entry("made", "C2", "F. Foreman", replaces=1, reason="wrong id")])
    with pytest.raises(WrongEntry, match=r"already replaced by line 2. Replace line 2"):
        store.append([Entry("made", "C3", "F. Foreman", replaces=1, reason="wrong id")])
    fields = {"fields": {"crew": "two"}}
    store.append([Entry("correction", "C2", "F. Foreman", data=fields, replaces=2, reason="crew")])
    store.append([Entry("correction", "C2", "F", data={"fields": {"note": "x"}}, replaces=3, reason="n")])
    assert store.latest()[0] == 4
    assert verify(store).is_whole


def test_revisions_keys_and_marks_are_never_replaced(filled: Store) -> None:
    for sequence in (1, 2):
        line = filled.line(sequence)
        entry = Entry("correction", "", "F", data={"withdrawn": True}, replaces=sequence, reason="r")
        with pytest.raises(WrongEntry, match=f"is a {line.kind}; that is never replaced"):
            filled.append([entry])


def test_a_content_must_be_stored_before_a_line_names_it(store: Store) -> None:
    missing = hash_of(b"picture")
    photo = Entry("photo", "C1", "F", data={"content": missing})
    with pytest.raises(WrongEntry, match="not stored yet"):
        store.append([photo])
    with pytest.raises(NoRecords):
        store.content(missing)
    assert store.put_content(b"picture") == store.put_content(b"picture") == missing
    assert store.content(missing) == b"picture"
    assert store.append([photo])[0].sequence == 1
    assert store.content_hashes() == [missing]


def test_a_content_has_a_largest_size(place: str | Path, clock: Callable[[], str]) -> None:
    with open_store(place, clock=clock, content_bytes_max=10) as store:
        store.put_content(b"x" * 10)
        with pytest.raises(RecordError, match="11 bytes; a content may have 10"):
            store.put_content(b"x" * 11)


def test_an_empty_content_is_a_content(store: Store) -> None:
    assert store.content(store.put_content(b"")) == b""


def test_the_database_refuses_to_change_or_remove_lines_and_contents(filled: Store) -> None:
    before = list(filled.rows())
    on_postgresql = filled.path is None
    empty = "''::bytea" if on_postgresql else "x''"
    statements = [
        "UPDATE lines SET about = 'C2'",
        "DELETE FROM lines",
        "DELETE FROM lines WHERE sequence = 1",
        "UPDATE contents SET hash = 'x'",
        "DELETE FROM contents",
        f"INSERT INTO lines VALUES (7, 'k', '', NULL, {empty}, '')",
        f"INSERT INTO lines VALUES (99, 'k', '', NULL, {empty}, '')",
    ]
    if on_postgresql:
        statements += ["TRUNCATE lines CASCADE", "TRUNCATE contents"]
    else:
        statements += [f"INSERT OR REPLACE INTO lines VALUES (1, 'k', '', NULL, {empty}, '')"]
        statements += [f"INSERT OR REPLACE INTO contents VALUES ('{filled.content_hashes()[0]}', {empty})"]
    for statement in statements:
        with (
            pytest.raises(RecordError, match=r"never changed|only be added after the last|stored once"),
            filled.writing() as connection,
        ):
            connection.exec_driver_sql(statement)
    assert list(filled.rows()) == before


def test_riser_itself_has_no_statement_that_changes_or_removes_rows() -> None:
    package = Path(riser.records.__file__).parent
    files = sorted(package.glob("*.py"))
    assert len(files) > 20
    for file in files:
        source = file.read_text(encoding="utf-8")
        assert not re.search(r"from sqlalchemy[\w.]* import [^\n]*\b(update|delete)\b", source), file.name
        assert not re.search(r"[\"'](UPDATE|DELETE|DROP|TRUNCATE|ALTER|REPLACE)\b", source), file.name
        assert not re.search(r"OR REPLACE INTO|ON CONFLICT", source), file.name


def test_two_writers_in_one_program_take_turns(store: Store) -> None:
    def write(name: str) -> None:
        for n in range(40):
            store.append([Entry("made", f"C{n}", name, entry_key=f"{name} {n}")])

    threads = [threading.Thread(target=write, args=(f"crew {n}",)) for n in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert verify(store).is_whole
    assert store.latest()[0] == 120


def test_a_second_writer_on_a_job_folder_waits_and_is_then_told(
    tmp_path: Path, clock: Callable[[], str]
) -> None:
    with open_store(tmp_path, clock=clock) as first:
        first.append([MADE])
        with pytest.raises(RecordsBusy, match=r"another program \(process \d+\) is writing"):
            open_store(tmp_path, clock=clock, wait_s=0.1)
        with open_store(tmp_path) as reader:
            assert reader.latest()[0] == 1
        threading.Timer(0.2, first.close).start()
        with open_store(tmp_path, clock=clock, wait_s=10) as second:
            assert second.append([MADE])[0].sequence == 1


def test_two_programs_on_postgresql_share_one_chain(postgresql_place: str, clock: Callable[[], str]) -> None:
    with (
        open_store(postgresql_place, clock=clock) as one,
        open_store(postgresql_place, clock=clock) as two,
        open_store(postgresql_place, clock=clock, wait_s=0.2) as hasty,
    ):

        def write(store: Store, name: str) -> None:
            for n in range(30):
                store.append([Entry("made", f"C{n}", name, entry_key=f"{name} {n}")])

        threads = [threading.Thread(target=write, args=each) for each in ((one, "A"), (two, "B"))]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert one.latest()[0] == 60
        assert verify(two).is_whole
        with one.writing(), pytest.raises(RecordsBusy, match="another program is writing"):
            hasty.append([MADE])
        assert hasty.append([MADE])[0].sequence == 61


def test_reading_goes_on_while_a_line_is_being_written(store: Store) -> None:
    store.append([MADE])
    with store.writing() as connection:
        connection.execute(text("SELECT 1"))
        assert store.latest()[0] == 1
        with open_store(store.path or store.engine.url.render_as_string(False)) as reader:
            assert reader.line(1).about == "C1"


def test_many_lines_are_read_in_pages(store: Store) -> None:
    entries = [Entry("made", f"C{n}", "F") for n in range(4100)]
    store.append(entries)
    assert [line.about for line in store.lines()] == [entry.about for entry in entries]
    assert [line.sequence for line in store.lines(after=4098)] == [4099, 4100]


def test_a_full_disk_is_said_plainly_loses_nothing_and_is_got_over(
    tmp_path: Path, clock: Callable[[], str]
) -> None:
    with open_store(tmp_path, clock=clock) as store:
        store.append([MADE])
        pages = _pages(store)
        written: list[Line] = []
        with pytest.raises(RecordsFull, match="the disk is full; nothing was written"):  # noqa: PT012
            for n in range(1000):
                _allow_pages(store, pages + 6)
                written += store.append([Entry("reading", "T1", "F", data={"n": n, "chart": "9" * 500})])
        assert written
        assert store.latest()[0] == 1 + len(written)
        with pytest.raises(RecordsFull):
            store.put_content(b"x" * 100_000)
        _allow_pages(store, 1_000_000)
        assert store.append([Entry("made", "C3", "F")])[0].sequence == 2 + len(written)
        assert verify(store).is_whole


def _pages(store: Store) -> int:
    with store.reading() as connection:
        return int(connection.exec_driver_sql("PRAGMA page_count").scalar_one())


def _allow_pages(store: Store, number: int) -> None:
    with store.reading() as connection:
        connection.exec_driver_sql(f"PRAGMA max_page_count = {number}")


def test_a_store_opened_without_a_clock_only_reads(filled: Store, place: str | Path) -> None:
    with open_store(place) as reader:
        assert list(reader.lines()) == list(filled.lines())
        with pytest.raises(RecordError, match="opened for reading only"):
            reader.append([MADE])
        with pytest.raises(RecordError, match="opened for reading only"):
            reader.put_content(b"x")
        with pytest.raises(RecordError), reader.reading() as connection:
            connection.execute(text("INSERT INTO contents VALUES ('x', NULL)"))
