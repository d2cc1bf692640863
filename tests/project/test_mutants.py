# SPDX-License-Identifier: Apache-2.0
"""Whatever happens to the bytes of a job, the answer is tables or input errors, and never a traceback."""

from __future__ import annotations

import io
import random
import time
import zipfile
from pathlib import Path

import pytest

from riser.errors import InputErrors
from riser.project import contents, read_contents, write_workbook

PIECES = (
    b",", b";", b'"', b"\n", b"\r", b"\t", b"\x00", b"nan", b"-", b"1e400", b"/", b"[", b"]", b"[mm]",
    b"[bar]", b" ", b"\xff", "é".encode(), b"0", b"note,", b"=", b"[[a]]", b"'", b"9" * 30, b"\xef\xbb\xbf",
    b"1,5", b"True", b"a.b", b"2026-02-31", b"T25:00", b"POD",
)  # fmt: skip
SLOWEST_S = 10.0


def mutant(data: bytes, rng: random.Random) -> bytes:
    """The bytes with a few insertions, deletions, repetitions and changes."""
    result = bytearray(data)
    for _ in range(rng.choice([1, 1, 1, 2, 5, 30])):
        place = rng.randrange(len(result) + 1)
        what = rng.randrange(4)
        if what == 0:
            result[place:place] = rng.choice(PIECES)
        elif what == 1:
            del result[place : place + rng.randrange(1, 12)]
        elif what == 2:
            start = rng.randrange(len(result) + 1)
            result[place:place] = result[start : start + rng.randrange(1, 60)]
        else:
            result[place : place + rng.randrange(1, 8)] = rng.choice(PIECES)
    return bytes(result)


def mutant_workbook(book: bytes, rng: random.Random) -> bytes:
    """A workbook with one piece changed and packed anew, or changed as it is."""
    if rng.random() < 0.3:
        return mutant(book, rng)
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    chosen = rng.choice(list(members))
    members[chosen] = mutant(members[chosen], rng)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def outcome(files: dict[str, bytes]) -> str:
    """Whether the files were read or refused; every refusal says where, what and what to do."""
    start = time.monotonic()
    errors = None
    try:
        read_contents(files)
    except InputErrors as refusal:
        errors = refusal.errors
    assert time.monotonic() - start < SLOWEST_S
    if errors is None:
        return "read"
    assert errors
    assert all(e.file and e.found and e.expected and e.remedy for e in errors)
    return "refused"


def outcomes(job: Path, book: Path, seed: int, count: int) -> list[str]:
    rng = random.Random(seed)
    files, data = contents(job), book.read_bytes()
    found = []
    for _ in range(count):
        spoilt = dict(files)
        for name in rng.sample(list(files), rng.choice([1, 1, 2, 4])):
            spoilt[name] = mutant(files[name], rng)
        found.append(outcome(spoilt))
        found.append(outcome({"job.xlsx": mutant_workbook(data, rng)}))
    return found


def test_mutants_are_read_or_refused(job: Path, tmp_path: Path) -> None:
    write_workbook(job, tmp_path / "job.xlsx")
    found = outcomes(job, tmp_path / "job.xlsx", seed=7, count=15)
    assert set(found) == {"read", "refused"}


@pytest.mark.soak
def test_thousands_of_mutants_are_read_or_refused(job: Path, tmp_path: Path) -> None:
    write_workbook(job, tmp_path / "job.xlsx")
    assert len(outcomes(job, tmp_path / "job.xlsx", seed=11, count=2000)) == 4000
