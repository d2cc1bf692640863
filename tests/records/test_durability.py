# SPDX-License-Identifier: Apache-2.0
"""Programs killed, disks full, syncs seen in the system calls: nothing acknowledged is lost."""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event

from riser.errors import RecordError
from riser.records import Entry, Store, open_store, utc_now, verify
from riser.records.errors import RecordsStopped

# Writes lines and contents until it is killed, or `most` of them; says each once it is kept.
WRITER = """
import os, sys
import riser.records.connection as connections
from riser.records import Entry, open_store, utc_now
place, name, journal, most = sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4])
if journal == "wal":
    connections.library_version = lambda: (3, 51, 3)
with open_store(place, clock=utc_now, wait_s=10) as store:
    os.write(1, b"ready\\n")
    for n in range(most):
        data = {"n": n}
        if n % 5 == 0:
            data["photos"] = [store.put_content(f"{name} {n}".encode() * 50)]
        line = store.append([Entry("reading", "T1", "logger", "device", data, entry_key=f"{name} {n}")])[0]
        os.write(1, f"{line.sequence} {line.hash}\\n".encode())
"""


def writer(
    place: str | Path, name: str, journal: str = "delete", most: int = 1_000_000
) -> subprocess.Popen[bytes]:
    command = [sys.executable, "-c", WRITER, str(place), name, journal, str(most)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)


def acknowledged(said: bytes) -> dict[int, str]:
    whole = said[: said.rfind(b"\n") + 1].decode().splitlines()
    return {int(row.split()[0]): row.split()[1] for row in whole if row != "ready"}


def interrupted_writer(
    place: str | Path, name: str, journal: str, chance: random.Random, kill: Callable[[], None] | None = None
) -> dict[int, str]:
    """Let a writer keep some lines, then kill it (or what it writes to); what it had acknowledged by then."""
    process = writer(place, name, journal)
    assert process.stdout
    said = b"".join(process.stdout.readline() for _ in range(1 + chance.randrange(5, 30)))
    time.sleep(chance.uniform(0, 0.02))
    (kill or process.kill)()
    said += process.stdout.read()
    assert said.startswith(b"ready\n"), process.communicate()
    process.communicate()
    return acknowledged(said)


def kill_and_check(place: str | Path, kills: int, seed: int) -> int:
    chance = random.Random(seed)
    kept: dict[int, str] = {}
    for number in range(kills):
        journal = "wal" if number % 3 == 2 else "delete"
        kept |= interrupted_writer(place, f"writer {number}", journal, chance)
        check_kept(place, kept)
    return len(kept)


def check_kept(place: str | Path, kept: dict[int, str]) -> None:
    with open_store(place) as store:
        stored = {row.sequence: row.hash for row in store.rows()}
        assert kept.items() <= stored.items()
        assert verify(store).is_whole


def test_ten_kills_of_the_writing_program_lose_no_acknowledged_line(tmp_path: Path) -> None:
    assert kill_and_check(tmp_path, 10, seed=3) >= 50


@pytest.mark.soak
def test_fifty_kills_of_the_writing_program_lose_no_acknowledged_line(tmp_path: Path) -> None:
    assert kill_and_check(tmp_path, 50, seed=4) >= 250


def test_kills_of_a_program_that_writes_to_postgresql_lose_no_acknowledged_line(
    postgresql_place: str,
) -> None:
    assert kill_and_check(postgresql_place, 3, seed=5) >= 15


def crash_and_check(server: Any, crashes: int, seed: int) -> int:
    chance = random.Random(seed)
    kept: dict[int, str] = {}
    server.start()
    for number in range(crashes):
        kept |= interrupted_writer(server.url, f"writer {number}", "delete", chance, server.kill)
        server.start()
        check_kept(server.url, kept)
    return len(kept)


def test_a_crash_of_postgresql_loses_no_acknowledged_line(new_postgresql_server: Callable[[], Any]) -> None:
    server = new_postgresql_server()
    try:
        assert crash_and_check(server, 1, seed=6) >= 5
    finally:
        server.stop()


@pytest.mark.soak
def test_eight_crashes_of_postgresql_lose_no_acknowledged_line(
    new_postgresql_server: Callable[[], Any],
) -> None:
    server = new_postgresql_server()
    try:
        assert crash_and_check(server, 8, seed=7) >= 40
    finally:
        server.stop()


@pytest.mark.parametrize("journal", ["delete", "wal"])
def test_a_sync_comes_before_every_acknowledgement(
    tmp_path: Path, missing: Callable[[str], None], journal: str
) -> None:
    """A kill cannot show this: the system's memory survives it, and a power cut it does not."""
    if not shutil.which("strace"):
        missing("strace is not installed")
    trace = tmp_path / "trace"
    watch = ["strace", "-f", "-y", "-e", "trace=fsync,fdatasync,unlink,write", "-o", str(trace)]
    command = [sys.executable, "-c", WRITER, str(tmp_path), "w", journal, "25"]
    done = subprocess.run([*watch, *command], check=False, capture_output=True)
    assert done.returncode == 0, done.stderr
    synced: list[str] = []
    acknowledgements = 0
    for row in trace.read_text(encoding="utf-8").splitlines():
        if sync := re.search(r"f(?:data)?sync\(\d+<([^>]*)>\) += 0", row):
            synced.append(Path(sync[1]).name)
        elif re.search(r'write\(1<[^>]*>, "\d', row):
            acknowledgements += 1
            # The rollback journal needs its own sync, the file's, and the folder's once the journal is gone.
            wanted = {"records.sqlite-wal"} if journal == "wal" else {"records.sqlite", tmp_path.name}
            assert wanted <= set(synced), f"line {acknowledgements}: only {synced} were synced"
            synced.clear()
    assert acknowledgements == 25


# Writes until the disk is full, says what it had kept, then makes room and writes once more.
FILLER = """
import json, resource, sys
from riser.records import Entry, open_store, utc_now
from riser.errors import RecordError
folder, bound = sys.argv[1], int(sys.argv[2])
kept, errors = {}, []
with open_store(folder, clock=utc_now) as store:
    if bound:
        resource.setrlimit(resource.RLIMIT_FSIZE, (bound, resource.RLIM_INFINITY))
    for n in range(100_000):
        try:
            line = store.append([Entry("reading", "T1", "logger", data={"n": n, "chart": "9" * 3000})])[0]
        except RecordError as error:
            errors.append(type(error).__name__)
            if len(errors) == 2:
                break
        else:
            kept[line.sequence] = line.hash
    read = [line.sequence for line in store.lines()]
if bound:
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
else:
    import pathlib
    pathlib.Path(folder, "ballast").unlink()
with open_store(folder, clock=utc_now) as store:
    after = store.append([Entry("made", "C1", "F. Foreman")])[0].sequence
print(json.dumps({"kept": kept, "errors": errors, "read": read, "after": after}))
"""


def fill(folder: Path, bound: int) -> dict[str, Any]:
    """Fill, and check that nothing acknowledged is lost and that writing goes on."""
    command = [sys.executable, "-c", FILLER, str(folder), str(bound)]
    done = subprocess.run(command, check=False, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    said: dict[str, Any] = json.loads(done.stdout)
    with open_store(folder) as store:
        stored = {str(row.sequence): row.hash for row in store.rows()}
        assert said["kept"].items() <= stored.items()
        assert len(said["kept"]) > 10
        assert said["read"] == list(range(1, len(said["read"]) + 1))
        assert said["after"] == len(said["read"]) + 1
        assert verify(store).is_whole
    return said


def test_a_file_that_may_not_grow_stops_writing_and_loses_nothing(tmp_path: Path) -> None:
    # The system says "file too large", which SQLite takes for a failed disk: riser stops until opened anew.
    assert fill(tmp_path, 150_000)["errors"] == ["RecordsStopped", "RecordsStopped"]


def test_a_full_disk_refuses_lines_and_loses_nothing(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk:
        if disk is None:
            # Not allowed to mount here: the same with the largest file size that the system allows.
            assert fill(tmp_path, 200_000)["errors"]
            return
        (disk / "ballast").write_bytes(b"x" * 200_000)
        assert fill(disk, 0)["errors"] == ["RecordsFull", "RecordsFull"]


@contextmanager
def small_disk(folder: Path) -> Iterator[Path | None]:
    """A disk of 1 MiB in memory, where the system lets us have one."""
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)]
    allowed = os.geteuid() == 0 and shutil.which("mount") is not None
    if not allowed or subprocess.run(mount, check=False, capture_output=True).returncode:
        yield None
        return
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_a_failure_at_any_step_of_a_write_leaves_the_store_usable(store: Store) -> None:
    kept = 0
    for step in range(24):
        with failing_at(store, step, OSError("the wire was cut")) as failed:
            try:
                digest = store.put_content(f"picture {step}".encode())
                store.append([Entry("photo", "C1", "F", data={"content": digest}, entry_key=f"a {step}")])
                kept += 1
            except OSError:
                assert failed == [step]
        store.append([Entry("made", "C1", "F", entry_key=f"b {step}")])
        kept += 1
        assert store.latest()[0] == kept
    assert 24 < kept < 48, "some steps must have failed, and some not"
    assert verify(store).is_whole


@contextmanager
def failing_at(store: Store, step: int, error: Exception) -> Iterator[list[int]]:
    """Raise the error when the statement with that number, counted from 0, is about to run, or the commit."""
    count = -1
    failed: list[int] = []

    def fail(*_: object) -> None:
        nonlocal count
        count += 1
        if count == step:
            failed.append(step)
            raise error

    for name in ("before_cursor_execute", "commit"):
        event.listen(store.engine, name, fail)
    try:
        yield failed
    finally:
        for name in ("before_cursor_execute", "commit"):
            event.remove(store.engine, name, fail)


def test_after_an_error_of_the_disk_nothing_is_written_until_the_store_is_opened_anew(
    tmp_path: Path, clock: Callable[[], str]
) -> None:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = sqlite3.SQLITE_IOERR_FSYNC
    with open_store(tmp_path, clock=clock) as store:
        store.append([Entry("made", "C1", "F")])
        with failing_at(store, 3, error), pytest.raises(RecordsStopped, match=r"look after the disk first"):
            store.append([Entry("made", "C2", "F")])
        for refused in (lambda: store.append([Entry("made", "C3", "F")]), lambda: store.put_content(b"x")):
            with pytest.raises(RecordsStopped):
                refused()
        assert [line.about for line in store.lines()] == ["C1"]
    with open_store(tmp_path, clock=utc_now) as store:
        assert store.append([Entry("made", "C2", "F")])[0].sequence == 2


def test_a_server_that_goes_away_says_that_the_last_entry_is_uncertain_and_a_repeat_settles_it(
    new_postgresql_server: Callable[[], Any], clock: Callable[[], str]
) -> None:
    server = new_postgresql_server()
    try:
        server.start()
        entry = Entry("made", "C1", "F", entry_key="one")
        with open_store(server.url, clock=clock) as store:
            store.append([entry])
            server.kill()
            with pytest.raises(RecordError, match="send it again with the same entry key"):
                store.append([Entry("made", "C2", "F", entry_key="two")])
            server.start()
            assert store.append([entry, Entry("made", "C2", "F", entry_key="two")])[1].sequence == 2
            assert verify(store).is_whole
    finally:
        server.stop()


def test_two_writing_programs_one_after_the_other_lose_nothing(tmp_path: Path) -> None:
    first = writer(tmp_path, "one", most=30)
    second = writer(tmp_path, "two", most=30)
    said = [process.communicate(timeout=60) for process in (first, second)]
    assert [process.returncode for process in (first, second)] == [0, 0], said
    kept = [acknowledged(out) for out, _ in said]
    assert not set(kept[0]) & set(kept[1])
    with open_store(tmp_path) as store:
        assert store.latest()[0] == 60 == len(kept[0]) + len(kept[1])
        assert verify(store).is_whole
