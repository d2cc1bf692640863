# SPDX-License-Identifier: Apache-2.0
"""No file fills the memory: size, lines and rows are bounded before anything is parsed."""

from __future__ import annotations

import os
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from riser.errors import InputError, InputErrors
from riser.project import read_job
from riser.project.limits import LIMITS, MEBIBYTE, Limits

ErrorsOf = Callable[[Path], list[InputError]]


def faults_within(job: Path, limits: Limits) -> list[InputError]:
    with pytest.raises(InputErrors) as caught:
        read_job(job, limits)
    return caught.value.errors


def test_a_line_of_100_megabytes_is_refused_without_being_held(job: Path, errors_of: ErrorsOf) -> None:
    with (job / "joints.csv").open("r+b") as file:
        file.seek(100 * MEBIBYTE)
        file.write(b"x")
    errors_of(job)
    tracemalloc.start()
    errors = errors_of(job)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert [(e.file, e.found, e.expected) for e in errors if e.file == "joints.csv"] == [
        ("joints.csv", "a line too long", "lines of at most 64 kB")
    ]
    assert peak < 20 * MEBIBYTE


def test_a_long_line_is_found_where_two_blocks_meet(job: Path) -> None:
    head = b"joint,stub_a\n" + b"," * (MEBIBYTE - 40) + b"\n"
    (job / "joints.csv").write_bytes(head + b"x" * 90)
    limits = replace(LIMITS, line_bytes=MEBIBYTE)
    assert not any(e.found == "a line too long" for e in faults_within(job, limits))
    (job / "joints.csv").write_bytes(b"joint,stub_a\n" + b"y" * (MEBIBYTE - 20) + b"z" * 60 + b"\n")
    limits = replace(LIMITS, line_bytes=MEBIBYTE - 10)
    assert any(e.found == "a line too long" for e in faults_within(job, limits))


def test_a_file_too_large_is_refused(job: Path) -> None:
    with (job / "joints.csv").open("ab") as file:
        file.write(b"\n" * 2 * MEBIBYTE)
    errors = faults_within(job, replace(LIMITS, file_bytes=MEBIBYTE))
    assert [(e.found, e.expected) for e in errors if e.file == "joints.csv"] == [
        ("a file too large", "at most 1 MB")
    ]


def test_too_many_rows_are_refused(job: Path) -> None:
    errors = faults_within(job, replace(LIMITS, rows=6))
    refused = {e.file for e in errors if e.found == "too many rows"}
    assert refused == {"types/POD/A/nodes.csv", "types/POD/A/runs.csv"}


def test_a_job_too_large_is_refused(job: Path) -> None:
    by_bytes = faults_within(job, replace(LIMITS, job_bytes=2000))
    by_files = faults_within(job, replace(LIMITS, files=5))
    for errors in (by_bytes, by_files):
        assert sum("a job within those bounds" in e.expected for e in errors) == 1


def test_faults_of_one_kind_in_a_column_are_counted_after_twenty(
    files: dict[str, str], written: Callable[[dict[str, str]], Path], errors_of: ErrorsOf
) -> None:
    rows = "".join(f"Q{n},GR/S1,POD1/B1,99,\n" for n in range(1000))
    files["joints.csv"] += rows
    errors = [e for e in errors_of(written(files)) if e.column == "works_on"]
    assert len(errors) == 21
    assert [e.row for e in errors[:20]] == list(range(6, 26))
    assert errors[20].row is None
    assert errors[20].found == "980 more of the same"


def test_thousands_of_faults_are_told_in_reasonable_time_and_number(
    files: dict[str, str], written: Callable[[dict[str, str]], Path], errors_of: ErrorsOf
) -> None:
    files["parts.csv"] += "".join(f"P{n},NO{n},A,N,00,,x,0,0,0,,,\n" for n in range(20_000))
    files["joints.csv"] += "".join(f"Q{n},NO{n}/S1,P{n},,\n" for n in range(20_000))
    errors = errors_of(written(files))
    assert {(e.file, e.column) for e in errors} == {
        ("parts.csv", "type"), ("parts.csv", "x"), ("joints.csv", "stub_a"), ("joints.csv", "stub_b"),
    }  # fmt: skip
    assert len(errors) == 4 * 21


@pytest.mark.parametrize(
    ("path", "found"),
    [
        ("nowhere", "nothing of that name"),
        ("job/floors.csv", "one file of a job"),
        ("job/photo.png", "no workbook"),
    ],
)
def test_what_is_no_job_is_said_in_one_error(path: str, found: str, job: Path, errors_of: ErrorsOf) -> None:
    (job / "photo.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    errors = errors_of(job.parent / path)
    assert len(errors) == 1
    assert found in errors[0].found


def test_an_empty_folder_lacks_the_files_every_job_needs(tmp_path: Path, errors_of: ErrorsOf) -> None:
    assert {e.file for e in errors_of(tmp_path)} == {
        "project.toml", "floors.csv", "pipes.csv", "types.csv", "parts.csv",
    }  # fmt: skip


def test_a_folder_in_the_place_of_a_file_is_an_error(job: Path, errors_of: ErrorsOf) -> None:
    (job / "curves.csv").unlink()
    (job / "curves.csv").mkdir()
    assert [(e.file, e.found) for e in errors_of(job)] == [("curves.csv", "a folder or a device")]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs named pipes")
def test_a_named_pipe_is_not_waited_for(job: Path, errors_of: ErrorsOf) -> None:
    (job / "curves.csv").unlink()
    os.mkfifo(job / "curves.csv")
    assert [(e.file, e.found) for e in errors_of(job)] == [("curves.csv", "a folder or a device")]


@pytest.mark.parametrize(("wrong", "right"), [("joint.csv", "joints.csv"), ("Survey.CSV", "survey.csv")])
def test_a_file_that_misses_its_name_by_a_letter_is_named(
    wrong: str, right: str, job: Path, errors_of: ErrorsOf
) -> None:
    (job / right).rename(job / wrong)
    errors = [e for e in errors_of(job) if e.file == wrong]
    assert [e.remedy for e in errors] == [f"Rename it to {right}, or move it out of the job's folder."]


def test_other_files_in_the_folder_do_not_matter(job: Path, errors_of: ErrorsOf) -> None:
    (job / "records.sqlite").write_bytes(b"SQLite format 3\x00")
    (job / "prices.csv").write_text("a\n1\n")
    (job / "types" / "OLD" / "Z").mkdir(parents=True)
    (job / "types" / "OLD" / "Z" / "nodes.csv").write_bytes(b"\x00")
    assert errors_of(job) == []


def test_many_faults_in_many_files_are_told_all_at_once(
    files: dict[str, str], written: Callable[[dict[str, str]], Path], errors_of: ErrorsOf
) -> None:
    slips = {
        "project.toml": ("uk", "eu"),
        "floors.csv": ("N,01,1,3.1", "N,01,one,3.1"),
        "shafts.csv": ("0 0; 1 0; 1 1; 0 1", "0 0; 1 0"),
        "risers.csv": ("soil", "oil"),
        "systems.csv": ("GR/OUT", "GR/AUS"),
        "pipes.csv": ("od [mm]", "od [bar]"),
        "couplings.csv": ("RING,P110,P110", "RING,P110,P111"),
        "types.csv": ("module", "modul"),
        "types/POD/A/nodes.csv": ("TEE,tee", "TEE,tea"),
        "types/POD/B/runs.csv": ("T1,B1", "T1,B2"),
        "parts.csv": ("POD1,POD", "POD1,PAD"),
        "joints.csv": ("POD2/T1", "POD7/T1"),
        "closures.csv": ("97", "-97"),
        "fixtures.csv": ("flush", "flash"),
        "supplies.csv": ("3.5", "inf"),
        "curves.csv": ("3.0", "nan"),
        "devices.csv": ("open", "ajar"),
        "catchments.csv": ("40", "0"),
        "sleeves.csv": ("10,40", "40,10"),
        "access.csv": ("AP1,,01", "AP1,,00"),
        "survey.csv": ("2026-03-02T", "2026-13-02T"),
        "gauges.csv": ("2026-01-10", "2026-01-41"),
        "gates.toml": ("self", "selfie"),
        "rules/yard.toml": ('"a"', "a"),
    }
    for name, (old, new) in slips.items():
        assert old in files[name]
        files[name] = files[name].replace(old, new, 1)
    errors = errors_of(written(files))
    assert {e.file for e in errors} == set(slips)
    assert errors == sorted(errors, key=lambda e: e.file)
    assert all(e.found and e.expected and e.remedy for e in errors)
