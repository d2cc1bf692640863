# SPDX-License-Identifier: Apache-2.0
"""The content of a job's files: which there are, their bytes, and the hash a revision keeps them by."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from riser.project.faults import Faults, nearest
from riser.project.limits import LIMITS, MEBIBYTE, Limits
from riser.project.schema import PER_TYPE, ROOT_FILES, is_job_file

_BLOCK = MEBIBYTE


@dataclass(frozen=True)
class Content:
    """What was found: bytes by relative name; `unread` names files that exist and could not be taken."""

    files: Mapping[str, bytes]
    unread: frozenset[str] = field(default=frozenset())

    @property
    def workbook(self) -> str | None:
        """The name of the workbook that is the whole job, None for a folder's files."""
        names = [*self.files, *self.unread]
        return names[0] if len(names) == 1 and not is_job_file(names[0]) else None


def contents(job: Path, limits: Limits = LIMITS) -> dict[str, bytes]:
    """The bytes of every file of a job that riser reads, by its name in the folder with forward slashes.

    Of a workbook the one file. Raises InputErrors for a job that is not there, and for files too large.
    """
    faults = Faults()
    content = gathered(job, faults, limits)
    faults.raise_if_any()
    return dict(content.files)


def content_hash(data: bytes) -> str:
    """SHA-256 of the bytes, as lower-case hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def gathered(job: Path, faults: Faults, limits: Limits = LIMITS) -> Content:
    """As `contents`, with faults collected instead of raised."""
    if job.is_file():
        if job.suffix.lower() in (".csv", ".toml"):
            faults.add_file(
                job.name,
                "one file of a job",
                "the job's folder, or a workbook",
                "Name the folder in which this file lies.",
            )
            return Content({}, frozenset({job.name}))
        names = [(job.name, job)]
    elif job.is_dir():
        names = sorted(_job_files(job))
        _refuse_near_misses(job, {name for name, _ in names}, faults)
    else:
        faults.add_file(str(job), "nothing of that name", "a folder or a workbook", "Check the spelling.")
        return Content({}, frozenset({job.name}))
    return _taken(names, faults, limits)


def _taken(names: list[tuple[str, Path]], faults: Faults, limits: Limits) -> Content:
    files: dict[str, bytes] = {}
    unread: set[str] = set()
    total = 0
    for number, (name, path) in enumerate(names):
        if number >= limits.files or total > limits.job_bytes:
            faults.add_file(
                name,
                f"more than {limits.files} files or {limits.job_bytes // MEBIBYTE} MB",
                "a job within those bounds",
                "Split the job by building.",
            )
            unread.update(rest for rest, _ in names[number:])
            break
        data = bounded_bytes(path, name, faults, limits)
        if data is None:
            unread.add(name)
        else:
            files[name] = data
            total += len(data)
    return Content(files, frozenset(unread))


def bounded_bytes(path: Path, name: str, faults: Faults, limits: Limits) -> bytes | None:
    """The bytes of one file, None with a fault if it cannot be read, is too large or has a line too long."""
    is_text = path.suffix.lower() in (".csv", ".toml")
    bound = limits.toml_bytes if path.suffix.lower() == ".toml" else limits.file_bytes
    taken: list[bytes] = []
    size = line = 0
    if not path.is_file():
        faults.add_file(name, "a folder or a device", "a file", "Move it out of the job's folder.")
        return None
    try:
        with path.open("rb") as stream:
            while block := stream.read(_BLOCK):
                size += len(block)
                line = _open_line(block, line, limits.line_bytes) if is_text else 0
                if size > bound or line > limits.line_bytes:
                    _too_much(name, size > bound, bound, limits, faults)
                    return None
                taken.append(block)
    except OSError as error:
        faults.add_file(
            name,
            f"a file that cannot be read ({error.strerror})",
            "a readable file",
            "Close it in other programs and check its permissions.",
        )
        return None
    return b"".join(taken)


def _open_line(block: bytes, before: int, bound: int) -> int:
    """Length of the line still open at the end of a block, or of the first line longer than the bound."""
    letters = np.frombuffer(block, dtype=np.uint8)
    ends = np.flatnonzero((letters == ord("\n")) | (letters == ord("\r")))
    lengths = np.diff(ends, prepend=-1 - before, append=len(block)) - 1
    longest = int(lengths.max())
    return longest if longest > bound else int(lengths[-1])


def _too_much(name: str, is_large: bool, bound: int, limits: Limits, faults: Faults) -> None:
    if is_large:
        found, expected = "a file too large", f"at most {bound // MEBIBYTE} MB"
    else:
        found, expected = "a line too long", f"lines of at most {limits.line_bytes // 1024} kB"
    faults.add_file(name, found, expected, "Check that this is the table it should be.")


def _job_files(folder: Path) -> Iterator[tuple[str, Path]]:
    """Every file in the folder that the schema knows, by relative name."""
    for name in ROOT_FILES:
        if (folder / name).exists():
            yield name, folder / name
    patterns = (*(f"types/*/*/{table}.csv" for table in PER_TYPE), "rules/*.toml")
    for pattern in patterns:
        for path in folder.glob(pattern):
            name = path.relative_to(folder).as_posix()
            if is_job_file(name):
                yield name, path


def _refuse_near_misses(folder: Path, present: set[str], faults: Faults) -> None:
    """A file that misses its name by a letter would switch off, in silence, whatever needs it."""
    absent = [name for name in ROOT_FILES if name not in present]
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() not in (".csv", ".toml") or path.name in present or not path.is_file():
            continue
        meant = nearest(path.name, absent, likeness=0.9)
        if meant:
            faults.add_file(
                path.name,
                "a file riser does not know",
                f"{meant}, which is absent",
                f"Rename it to {meant}, or move it out of the job's folder.",
            )
