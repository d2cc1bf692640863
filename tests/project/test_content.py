# SPDX-License-Identifier: Apache-2.0
from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from riser.errors import InputErrors
from riser.project import content_hash, contents, write_workbook


def test_the_content_is_every_file_the_schema_knows_and_no_other(job: Path, files: dict[str, str]) -> None:
    (job / "records.sqlite").write_bytes(b"not ours")
    (job / "photo.jpg").write_bytes(b"not ours")
    (job / "types" / "POD" / "A" / "sketch.csv").write_bytes(b"not ours")
    (job / "rules" / "README.md").write_bytes(b"not ours")
    found = contents(job)
    assert found == {name: text.encode() for name, text in files.items()}


def test_the_content_of_a_workbook_is_the_workbook(job: Path, tmp_path: Path) -> None:
    write_workbook(job, tmp_path / "job.xlsx")
    assert contents(tmp_path / "job.xlsx") == {"job.xlsx": (tmp_path / "job.xlsx").read_bytes()}


def test_a_job_that_is_not_there_has_no_content(tmp_path: Path) -> None:
    with pytest.raises(InputErrors):
        contents(tmp_path / "nowhere")


def test_content_is_known_by_its_sha_256() -> None:
    # FIPS 180-4 example, "abc"; from memory, and checked against the standard library.
    assert content_hash(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert content_hash(b"x") == hashlib.sha256(b"x").hexdigest()
