# SPDX-License-Identifier: Apache-2.0
"""Revisions: the engineer's files taken in by hash, and what changed between two states of them."""

from __future__ import annotations

from dataclasses import dataclass

from riser.errors import InputError, InputErrors, Refused
from riser.network.tables import JobTables
from riser.project import Difference, content_hash, contents, differences, read_contents
from riser.records import Entry, Line
from riser.work.ids import TYPED
from riser.work.job import Job, reading_store, writing_store

FILES_NOW = "files"


@dataclass(frozen=True)
class Taken:
    """A revision that was taken in: its number and the line that says so."""

    number: int
    line: Line
    files: int


def revise(job: Job, *, by: str, note: str) -> Taken:
    """Store the content of all input files by hash as the next revision.

    The files have been read without error. Refused where nothing changed since the latest revision.
    """
    files = contents(job.path)
    hashes = {name: content_hash(data) for name, data in files.items()}
    latest = job.state.latest_revision
    if latest is not None and dict(latest.contents) == hashes:
        raise Refused([f"Nothing changed since revision {latest.number}."])
    number = 1 if latest is None else latest.number + 1
    with writing_store(job.records) as store:
        for data in files.values():
            store.put_content(data)
        line = store.append(
            [Entry("revision", author=by, data={"number": number, "contents": hashes, "note": note})]
        )[0]
    return Taken(number, line, len(files))


def tables_at(job: Job, which: str) -> JobTables:
    """The tables of a stored revision by number, or of the files as they are now (`files`)."""
    if which == FILES_NOW:
        return job.tables
    number = int(which) if which.isdigit() else -1
    if number not in job.state.revisions:
        known = ", ".join([*(str(n) for n in job.state.revisions), FILES_NOW])
        error = InputError(TYPED, None, "revision", repr(which), f"one of {known}", "Choose one of these.")
        raise InputErrors([error])
    hashes = dict(job.state.revisions[number].contents)
    with reading_store(job.records) as store:
        files = {name: store.content(digest) for name, digest in hashes.items()}
    return read_contents(files)


def diff(job: Job, a: str, b: str) -> list[Difference]:
    """What changed from state `a` to state `b`, item by item."""
    return differences(tables_at(job, a), tables_at(job, b))
