# SPDX-License-Identifier: Apache-2.0
"""What the tests of the records share: a clock that ticks, a key, and a fresh place on each database."""

from __future__ import annotations

import contextlib
import importlib.util
import itertools
import os
import pwd
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from sqlalchemy import create_engine, text
from sqlalchemy.exc import DBAPIError

from riser.records import Entry, Store, introduce_key, make_key, open_store

_SCHEMAS = itertools.count(1)
_START = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)


class Clock:
    """A server clock that gives one second more at each call; `set_back` moves it."""

    def __init__(self) -> None:
        self.now = _START

    def __call__(self) -> str:
        self.now += timedelta(seconds=1)
        return self.now.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def set_back(self, days: float) -> None:
        self.now -= timedelta(days=days)


@pytest.fixture
def clock() -> Clock:
    return Clock()


def _missing(what: str) -> None:
    if os.environ.get("RISER_NOTHING_SKIPPED") == "1":
        pytest.fail(f"{what}, and nothing may be skipped here")
    pytest.skip(what)


@pytest.fixture(scope="session")
def missing() -> Callable[[str], None]:
    """Skips with a reason, or fails where nothing may be skipped."""
    return _missing


class PostgresqlServer:
    """A PostgreSQL of our own: its files and its socket in one folder, run by a user that is not root."""

    def __init__(self, programs: Path, user: str | None) -> None:
        # Not under tmp_path: its parents are closed to other users, and a socket's path may have 107 bytes.
        self.folder = Path(tempfile.mkdtemp(prefix="records-"))
        self.url = f"postgresql:///postgres?host={self.folder}&user=postgres"
        self._programs = programs
        self._as: dict[str, Any] = {"user": user, "group": user, "extra_groups": []} if user else {}
        self._process: subprocess.Popen[bytes] | None = None
        if user:
            shutil.chown(self.folder, user, user)
        options = ["-U", "postgres", "-A", "trust", "-E", "UTF8", "--no-sync"]
        made = [str(programs / "initdb"), "-D", str(self.folder / "data"), *options]
        subprocess.run(made, check=True, capture_output=True, cwd=self.folder, **self._as)

    def start(self) -> None:
        """Start, and wait until it answers."""
        settings = {
            "listen_addresses": "",
            "unix_socket_directories": str(self.folder),
            "max_connections": "40",
        }
        options = [part for name, value in settings.items() for part in ("-c", f"{name}={value}")]
        with (self.folder / "log").open("ab") as log:
            run = [str(self._programs / "postgres"), "-D", str(self.folder / "data"), *options]
            process: subprocess.Popen[bytes]
            process = subprocess.Popen(run, stdout=log, stderr=log, cwd=self.folder, **self._as)
        self._process = process
        engine = create_engine(self.url.replace("postgresql:", "postgresql+psycopg:"))
        until = time.monotonic() + 30
        while True:
            try:
                with engine.connect():
                    break
            except DBAPIError:
                if time.monotonic() > until or process.poll() is not None:
                    raise
                time.sleep(0.05)
        engine.dispose()

    def kill(self) -> None:
        """SIGKILL to the server and all its own processes, as a crash would."""
        assert self._process
        pid = self._process.pid
        children = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii").split()
        self._process.kill()
        for child in map(int, children):
            with contextlib.suppress(ProcessLookupError):
                os.kill(child, signal.SIGKILL)
        self._process.wait()

    def stop(self) -> None:
        """Ask it to stop at once, wait, and remove its files."""
        if self._process and self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)
            try:
                self._process.wait(10)
            except subprocess.TimeoutExpired:
                self.kill()
        shutil.rmtree(self.folder, ignore_errors=True)


@pytest.fixture(scope="session")
def new_postgresql_server() -> Callable[[], PostgresqlServer]:
    """Makes a server that is not yet started; whoever calls it stops it."""
    programs = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not programs:
        _missing("PostgreSQL is not installed")
    if importlib.util.find_spec("psycopg") is None:
        _missing("psycopg is not installed")
    user = "postgres" if os.geteuid() == 0 else None
    if user and not any(each.pw_name == user for each in pwd.getpwall()):
        _missing("PostgreSQL does not run as root, and there is no user postgres")
    return lambda: PostgresqlServer(programs[-1].parent, user)


@pytest.fixture(scope="session")
def postgresql_server(new_postgresql_server: Callable[[], PostgresqlServer]) -> Iterator[PostgresqlServer]:
    """One server for all tests; each gets a schema of its own."""
    server = new_postgresql_server()
    try:
        server.start()
        yield server
    finally:
        server.stop()


@pytest.fixture(scope="session")
def new_schema(postgresql_server: PostgresqlServer) -> Iterator[Callable[[], str]]:
    """Makes an empty schema and gives its URL."""
    engine = create_engine(postgresql_server.url.replace("postgresql:", "postgresql+psycopg:"))

    def made() -> str:
        name = f"job{next(_SCHEMAS)}"
        with engine.begin() as connection:
            connection.execute(text(f"CREATE SCHEMA {name}"))
        return f"{postgresql_server.url}&options={quote(f'-csearch_path={name}')}"

    yield made
    engine.dispose()


@pytest.fixture
def postgresql_place(new_schema: Callable[[], str]) -> str:
    """The URL of an empty schema."""
    return new_schema()


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str | Path:
    """A fresh place for records: a file in a job folder, or a schema of a database server."""
    if request.param == "postgresql":
        url: str = request.getfixturevalue("postgresql_place")
        return url
    (tmp_path / "job").mkdir()
    return tmp_path / "job" / "records.sqlite"


@pytest.fixture
def store(place: str | Path, clock: Clock) -> Iterator[Store]:
    """An empty store, open for writing."""
    with open_store(place, clock=clock, wait_s=2) as opened:
        yield opened


@pytest.fixture
def key(tmp_path: Path) -> Path:
    """A signing key outside the job folder."""
    make_key(tmp_path / "signing.key")
    return tmp_path / "signing.key"


@pytest.fixture
def filled(store: Store, key: Path) -> Store:
    """A store with a signing key, a picture, a revision, and a floor's worth of lines with a correction."""
    introduce_key(store, key, author="Q. Lead")
    picture = store.put_content(b"a picture")
    plan = store.put_content(b"part,type\n")
    store.append(
        [
            Entry("revision", "", "E. Engineer", data={"number": 1, "contents": {"parts.csv": plan}}),
            Entry("placed", "M01", "F. Foreman", data={"type_revision": "A"}),
            *(Entry("made", f"C{n}", "F. Foreman", entry_key=f"made {n}") for n in range(1, 6)),
            Entry("photo", "C1", "F. Foreman", data={"content": picture}),
            Entry("inspected", "C1", "I. Inspector", "signed in", {"passed": True}),
        ]
    )
    withdrawn = Entry("correction", "C5", "F. Foreman", data={"withdrawn": True}, replaces=8, reason="slip")
    store.append([withdrawn, Entry("covered", "C1", "F. Foreman", reason="ceiling closed")])
    return store
