# SPDX-License-Identifier: Apache-2.0
"""One writer per job folder: a lock of the operating system on a file beside the records.

The system lets go of it when the writing program ends, however it ends, so it never has to be cleared by
hand.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from pathlib import Path

from riser.records.errors import RecordsBusy

RETRY_S = 0.05


class WriterLock:
    """Held from `take` to `let_go`; a second one, in this or another program, waits and then is refused."""

    def __init__(self, records: Path) -> None:
        self._path = records.with_name(records.name + ".lock")
        self._records = records
        self._file: int | None = None

    def take(self, wait_s: float) -> None:
        """Take the lock, waiting at most `wait_s` seconds; RecordsBusy says who holds it."""
        file = os.open(self._path, os.O_RDWR | os.O_CREAT, 0o644)
        until = time.monotonic() + wait_s
        while not _lock(file):
            if time.monotonic() >= until:
                holder = _holder(file)
                os.close(file)
                raise RecordsBusy(
                    f"{self._records}: {holder} is writing to these records. Make the entry there, or close "
                    "it and try again."
                )
            time.sleep(RETRY_S)
        os.ftruncate(file, 0)
        os.pwrite(file, str(os.getpid()).encode(), 0) if sys.platform != "win32" else None
        self._file = file

    def let_go(self) -> None:
        """Let go of the lock; doing so twice is harmless."""
        if self._file is not None:
            with contextlib.suppress(OSError):
                _unlock(self._file)
            os.close(self._file)
            self._file = None


def _holder(file: int) -> str:
    text = b"" if sys.platform == "win32" else os.pread(file, 20, 0)
    return f"another program (process {text.decode()})" if text.isdigit() else "another program"


if sys.platform == "win32":
    import msvcrt

    def _lock(file: int) -> bool:
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(file: int) -> None:
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _lock(file: int) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def _unlock(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)
