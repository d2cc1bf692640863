# SPDX-License-Identifier: Apache-2.0
"""Verifying: whether the records of a job are whole, and agree with the marks that people hold."""

from __future__ import annotations

import json
from pathlib import Path

from riser.errors import InputError, InputErrors
from riser.records import Mark, mark_from_json, mark_from_text, verify
from riser.records.verification import Verification
from riser.work.ids import TYPED
from riser.work.job import reading_store, records_address, store_exists


def held_mark(file: Path) -> Mark:
    """The mark in a file: as JSON, or as it is printed on paper. Raises InputErrors for anything else."""
    try:
        text = file.read_text(encoding="utf-8")
        return mark_from_json(json.loads(text)) if text.lstrip().startswith("{") else mark_from_text(text)
    except (OSError, ValueError, KeyError, TypeError) as fault:
        error = InputError(str(file), None, None, "no mark", "a mark as riser prints it", f"({fault})")
        raise InputErrors([error]) from fault


def verify_records(path: Path, records: str, marks: list[Path]) -> Verification:
    """Recompute every line, content and mark. InputErrors where no records were begun."""
    address = records_address(path, records)
    if not store_exists(address):
        error = InputError(TYPED, None, "JOB", str(path), "a job with records", "Record something first.")
        raise InputErrors([error])
    with reading_store(address) as store:
        return verify(store, [held_mark(file) for file in marks])


def verification_text(result: Verification) -> str:
    """The answer in words."""
    held = f", {result.marks_held} held marks agree" if result.marks_held and result.is_whole else ""
    if result.is_whole:
        head = f"{result.lines} lines, whole{held}. Latest: {result.latest_sequence} {result.latest_hash}"
    else:
        head = f"{result.lines} lines, NOT whole: {len(result.faults)} faults."
    faults = [f"  line {fault.sequence}: {fault.what}" for fault in result.faults]
    notes = [f"  note, line {note.sequence}: {note.what}" for note in result.notes]
    return "\n".join([head, *faults, *notes])
